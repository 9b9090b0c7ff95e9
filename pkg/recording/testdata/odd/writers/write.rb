# Workbooks and tables by libraries of Ruby.
#   ruby write.rb DIR   (Debian: ruby ruby-spreadsheet)
require 'json'
require 'csv'
require 'spreadsheet'
dir = ARGV[0]
JSON.parse(File.read("#{dir}/base.json")).first(4).each_with_index do |d, k|
  book = Spreadsheet::Workbook.new
  sheet = book.create_worksheet name: 'log'
  head = ['Time', 'Intake (°C)', 'Bay (°C)', 'Coolant (°C)']
  sheet.row(0).concat head
  format = Spreadsheet::Format.new number_format: 'YYYY-MM-DD hh:mm:ss'
  CSV.open("#{dir}/out/ruby-csv-#{k}.csv", 'w', col_sep: [',', ';', "\t", ','][k], force_quotes: k == 1) do |csv|
    csv << head
    d['t'].each_index do |i|
      values = %w[a b c].map { |c| d[c][i] }
      row = sheet.row(i + 1)
      row.push DateTime.parse(d['stamp'][i]), *values
      row.set_format 0, format
      csv << [d['stamp'][i], *values]
    end
  end
  book.write "#{dir}/out/ruby-biff-#{k}.xls"
end
