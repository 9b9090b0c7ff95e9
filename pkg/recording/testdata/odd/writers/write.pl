# Workbooks, databases and JSON lines by libraries of Perl.
#   perl write.pl DIR   (Debian: libspreadsheet-writeexcel-perl
#                        libexcel-writer-xlsx-perl libdbd-sqlite3-perl)
use strict; use warnings; use utf8;
use JSON::PP; use Spreadsheet::WriteExcel; use Excel::Writer::XLSX; use DBI;
my $dir = shift;
open(my $f, '<', "$dir/base.json") or die $!;
my $all = decode_json(join '', <$f>);
my $deg = chr(0xB0);
for my $k (0 .. $#$all) {
    my $d = $all->[$k];
    my $fahrenheit = $k % 2;
    my $unit = $deg . ($fahrenheit ? 'F' : 'C');
    my $v = sub { my $x = shift; !defined $x ? undef : $fahrenheit ? sprintf('%.2f', 1.8 * $x + 32) + 0 : $x };
    my $n = $k . ($fahrenheit ? 'f' : '');
    for my $made (['xls', Spreadsheet::WriteExcel->new("$dir/out/perl-biff-$n.xls")], ['xlsx', Excel::Writer::XLSX->new("$dir/out/perl-ooxml-$n.xlsx")]) {
        my $book = $made->[1];
        my $sheet = $book->add_worksheet('log');
        my $format = $book->add_format(num_format => ('dd.mm.yyyy hh:mm:ss', 'yyyy-mm-dd hh:mm:ss', 'm/d/yy h:mm:ss')[$k % 3]);
        my $row = 0;
        $sheet->write_row($row++, 0, ['Time', "Intake ($unit)", "Bay ($unit)", "Coolant ($unit)"]);
        for my $i (0 .. $#{$d->{t}}) {
            my $iso = $d->{stamp}[$i]; $iso =~ s/ /T/;
            $sheet->write_date_time($row, 0, $iso, $format);
            my $column = 1;
            for my $x ($d->{a}[$i], $d->{b}[$i], $d->{c}[$i]) {
                $sheet->write_number($row, $column, $v->($x)) if defined $x;
                $column++;
            }
            $row++;
        }
        $book->close;
    }
    next if $k > 3;
    my $db = DBI->connect("dbi:SQLite:dbname=$dir/out/perl-sqlite-$n.db", '', '', { RaiseError => 1, AutoCommit => 0 });
    my $u = $fahrenheit ? 'degF' : 'degC';
    $db->do("create table log (time text, intake_$u real, bay_$u real, coolant_$u real)");
    my $insert = $db->prepare('insert into log values (?, ?, ?, ?)');
    $insert->execute($d->{stamp}[$_], $v->($d->{a}[$_]), $v->($d->{b}[$_]), $v->($d->{c}[$_])) for 0 .. $#{$d->{t}};
    $db->commit; $db->disconnect;
    open(my $o, '>', "$dir/out/perl-lines-$n.jsonl") or die $!;
    my $json = JSON::PP->new->utf8->canonical;
    print $o $json->encode({ '1 time' => $d->{stamp}[$_], "2 intake ($unit)" => $v->($d->{a}[$_]), "3 bay ($unit)" => $v->($d->{b}[$_]), "4 coolant ($unit)" => $v->($d->{c}[$_]) }), "\n" for 0 .. $#{$d->{t}};
    close $o;
}
