"""Writes the odd files of foreign.zip with what they mean, by libraries that
share nothing with the reader: csv, pandas, openpyxl, xlwt, odfpy, json,
sqlite3, xml.etree and, by struct, the FIT protocol as it is published.

    python3 write.py foreign.zip     (Debian: python3-pandas python3-openpyxl
                                      python3-xlwt python3-odf)

The drive is invented. Each file NAME has a NAME.truth: a JSON object of the
start (null where the file can't say), the times in seconds after it, and the
columns by name or "#number" in °C, m/s or degrees.
"""
import csv, io, json, math, os, random, sqlite3, struct, sys, tempfile, zipfile
from datetime import datetime, timedelta, timezone
from xml.etree import ElementTree as ET
import openpyxl, pandas as pd, xlwt
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

random.seed(20251123)
N = 90
START = datetime(2025, 10, 27, 6, 51, 13)
out = zipfile.ZipFile(sys.argv[1], 'w', zipfile.ZIP_DEFLATED)


def put(name, data, truth):
    if isinstance(data, str):
        data = data.encode()
    for n, d in ((name, data), (name + '.truth', json.dumps(truth).encode())):
        info = zipfile.ZipInfo(n, (2025, 11, 1, 0, 0, 0))
        info.compress_type = zipfile.ZIP_DEFLATED
        out.writestr(info, d)


def drive(step=2.0, n=N):
    t, a, b, c = [], [], [], []
    x = 0.0
    for i in range(n):
        t.append(round(x, 3))
        x += step
        u = i / n
        a.append(round(11 + 24 * u + random.gauss(0, .3), 1))
        b.append(round(14 + 41 * math.sqrt(u) + random.gauss(0, .4), 1))
        c.append(round(13 + 76 * math.sqrt(u) + random.gauss(0, .2), 1))
    return t, a, b, c


def truth(t, columns, dated=True, zone=False, start=START):
    return {'start': start.isoformat() + 'Z' if dated else None, 'time': t, 'temperature': columns}


def fahrenheit(v):
    return round(v * 1.8 + 32, 2)


# Tables of text by csv and pandas: dialects, names in five languages, stamps.
HEADS = {
    'en': ('Timestamp', 'Intake air', 'Engine bay', 'Coolant'),
    'de': ('Zeitstempel', 'Ansaugluft', 'Motorraum', 'Kühlwasser'),
    'fr': ('Horodatage', "Température air d'admission", 'Température compartiment moteur', 'Température liquide'),
    'es': ('Marca de tiempo', 'Temperatura aire', 'Temperatura motor', 'Temperatura agua'),
    'it': ('Ora', 'Temperatura aria', 'Temperatura vano motore', 'Temperatura acqua'),
}
STAMPS = ['%Y-%m-%d %H:%M:%S', '%Y/%m/%d %H:%M:%S', '%d.%m.%Y %H:%M:%S', '%d/%m/%Y %H:%M:%S', '%Y-%m-%dT%H:%M:%S', '%Y%m%d%H%M%S',
          '%d-%b-%Y %H:%M:%S', '%a %b %d %H:%M:%S %Y', '%m/%d/%Y %I:%M:%S %p', '%d %B %Y %H:%M:%S', '%Y-%m-%d %H:%M:%S.%f', '%y/%m/%d %H:%M:%S']
k = 0
for lang, head in HEADS.items():
    for stamp in STAMPS:
        t, a, b, c = drive()
        buffer = io.StringIO()
        point = lang in ('en', 'es') or k % 3 == 0
        delimiter = ',' if point else ';'
        w = csv.writer(buffer, delimiter=delimiter, quoting=[csv.QUOTE_MINIMAL, csv.QUOTE_ALL, csv.QUOTE_NONNUMERIC][k % 3], lineterminator=['\r\n', '\n'][k % 2])
        w.writerow([head[0]] + ['%s (%s)' % (h, ['°C', 'degC', '°F'][k % 3]) for h in head[1:]])
        for row in zip(t, a, b, c):
            values = row[1:] if k % 3 < 2 else [fahrenheit(v) for v in row[1:]]
            w.writerow([(START + timedelta(seconds=row[0])).strftime(stamp)] + [str(v) if point else str(v).replace('.', ',') for v in values])
        data = buffer.getvalue().encode(['utf-8', 'utf-8-sig', 'utf-16', 'cp1252'][k % 4])
        put('csv-%s-%02d.csv' % (lang, STAMPS.index(stamp)), data, truth(t, {'#2': a, '#3': b, '#4': c}))
        k += 1

# pandas: index, several ways of dates, gaps as empty cells, elapsed times.
for i, (index, fmt, zone) in enumerate([(True, None, None), (False, None, None), (False, '%d.%m.%Y %H:%M:%S', None), (False, None, 'UTC'), (False, None, 'Europe/Vienna'), (True, '%Y-%m-%d %H:%M:%S.%f', None)]):
    for sep, decimal in ((',', '.'), (';', ','), ('\t', '.'), ('\t', ',')):
        t, a, b, c = drive()
        times = pd.to_datetime([START + timedelta(seconds=x) for x in t])
        start = START
        if zone:
            times = times.tz_localize('UTC').tz_convert(zone)
        frame = pd.DataFrame({'Time': times, 'T intake [°C]': a, 'T bay [°C]': b, 'T water [°C]': c})
        frame.loc[7, 'T bay [°C]'] = None
        b[7] = None
        text = frame.to_csv(index=index, sep=sep, decimal=decimal, date_format=fmt)
        put('pandas-%d-%s%s.csv' % (i, {',': 'c', ';': 's', '\t': 't'}[sep], 'c' if decimal == ',' else 'p'), text, truth(t, {'t intake': a, 't bay': b, 't water': c}))

for name, factor, form in (('Time (s)', 1, '%.1f'), ('Time (ms)', 1e3, '%.0f'), ('Elapsed min', 1 / 60, '%.5f'), ('Elapsed h', 1 / 3600, '%.7f'), ('Elapsed days', 1 / 86400, '%.9f'), ('t (µs)', 1e6, '%.0f'), ('Zeit in Sekunden', 1, '%.2f'), ('temps (s)', 1, '%.1f'), ('tiempo (min)', 1 / 60, '%.5f'), ('tempo (s)', 1, '%.1f')):
    t, a, b, c = drive(1.5)
    frame = pd.DataFrame({name: [form % (x * factor) for x in t], 'Air °C': a, 'Bay °C': b, 'Water °C': c})
    put('elapsed-%s.csv' % ''.join(ch for ch in name if ch.isalnum()), frame.to_csv(index=False), truth(t, {'#2': a, '#3': b, '#4': c}, dated=False))

for unit, factor in (('s', 1), ('ms', 1e3), ('us', 1e6), ('ns', 1e9)):
    t, a, b, c = drive()
    frame = pd.DataFrame({'timestamp': [int(START.replace(tzinfo=timezone.utc).timestamp() * factor + x * factor) for x in t], 'intake_c': a, 'bay_c': b, 'coolant_c': c})
    put('unix-%s.csv' % unit, frame.to_csv(index=False), truth(t, {'#2': a, '#3': b, '#4': c}))
    put('unix-%s.jsonl' % unit, frame.to_json(orient='records', lines=True), truth(t, {'#2': a, '#3': b, '#4': c}))
    put('unix-%s-records.json' % unit, frame.to_json(orient='records'), truth(t, {'#2': a, '#3': b, '#4': c}))
    put('unix-%s-columns.json' % unit, frame.to_json(), truth(t, {'#2': a, '#3': b, '#4': c}))
    put('unix-%s-list.json' % unit, json.dumps({k: list(v) for k, v in frame.to_dict('list').items()}, indent=1), truth(t, {'#2': a, '#3': b, '#4': c}))
    put('unix-%s-values.json' % unit, json.dumps({'device': 'logger', 'data': [list(frame.columns)] + [[int(r[0])] + list(r[1:]) for r in frame.values.tolist()]}), truth(t, {'#2': a, '#3': b, '#4': c}))

# Workbooks.
def rows_of(stamp, t, *columns):
    for row in zip(t, *columns):
        yield [stamp(START + timedelta(seconds=row[0]))] + list(row[1:])

for i, (stamp, style) in enumerate([(lambda x: x, 'yyyy-mm-dd hh:mm:ss'), (lambda x: x, 'dd/mm/yyyy hh:mm:ss'), (lambda x: x.strftime('%Y-%m-%d %H:%M:%S'), None), (lambda x: x.isoformat(), None), (lambda x: x, 'm/d/yy h:mm')]):
    for preamble in (0, 3):
        for sheets in (1, 2):
            t, a, b, c = drive()
            book = openpyxl.Workbook()
            s = book.active
            s.title = 'Readings'
            for p in range(preamble):
                s.append(['Logger', 'four channels'][: 1 + p % 2])
            s.append(['Time', 'Intake (°C)', 'Bay (°C)', 'Water (°C)'])
            for row in rows_of(stamp, t, a, b, c):
                s.append(row)
                if style:
                    s.cell(s.max_row, 1).number_format = style
            if sheets == 2:
                book.create_sheet('Notes').append(['made by hand'])
            f = io.BytesIO()
            book.save(f)
            put('openpyxl-%d-%d-%d.xlsx' % (i, preamble, sheets), f.getvalue(), truth(t, {'intake': a, 'bay': b, 'water': c}))
            old = xlwt.Workbook()
            s = old.add_sheet('Readings')
            for p in range(preamble):
                s.write(p, 0, 'Logger')
            for j, h in enumerate(['Time', 'Intake (°C)', 'Bay (°C)', 'Water (°C)']):
                s.write(preamble, j, h)
            look = xlwt.easyxf(num_format_str=style or 'General')
            for r, row in enumerate(rows_of(stamp, t, a, b, c)):
                for j, v in enumerate(row):
                    if j == 0 and style:
                        s.write(preamble + 1 + r, j, v, look)
                    else:
                        s.write(preamble + 1 + r, j, v)
            if sheets == 2:
                old.add_sheet('Notes').write(0, 0, 'made by hand')
            f = io.BytesIO()
            old.save(f)
            put('xlwt-%d-%d-%d.xls' % (i, preamble, sheets), f.getvalue(), truth(t, {'intake': a, 'bay': b, 'water': c}))
            doc = OpenDocumentSpreadsheet()
            table = Table(name='Readings')
            def line(cells):
                row = TableRow()
                for v in cells:
                    if isinstance(v, datetime):
                        cell = TableCell(valuetype='date', datevalue=v.isoformat())
                        cell.addElement(P(text=v.strftime('%d.%m.%y')))
                    elif isinstance(v, float):
                        cell = TableCell(valuetype='float', value=repr(v))
                        cell.addElement(P(text=str(round(v))))
                    else:
                        cell = TableCell(valuetype='string')
                        cell.addElement(P(text=v))
                    row.addElement(cell)
                table.addElement(row)
            for p in range(preamble):
                line(['Logger'])
            line(['Time', 'Intake (°C)', 'Bay (°C)', 'Water (°C)'])
            for row in rows_of(stamp, t, a, b, c):
                line(row)
            doc.spreadsheet.addElement(table)
            if sheets == 2:
                other = Table(name='Notes')
                doc.spreadsheet.addElement(other)
            f = io.BytesIO()
            doc.save(f)
            put('odfpy-%d-%d-%d.ods' % (i, preamble, sheets), f.getvalue(), truth(t, {'intake': a, 'bay': b, 'water': c}))

# Pages, saved as .xls.
for i in range(6):
    t, a, b, c = drive()
    frame = pd.DataFrame({'Time': [(START + timedelta(seconds=x)).strftime(STAMPS[i]) for x in t], 'Intake (°C)': a, 'Bay (°C)': b, 'Water (°C)': c})
    page = frame.to_html(index=i % 2 == 1)
    if i > 2:
        page = '<html><head><meta charset="utf-8"><title>export</title></head><body><h1>Export</h1><table><tr><td>serial</td><td>12</td></tr></table>%s</body></html>' % page
    put('page-%d.xls' % i, page, truth(t, {'intake': a, 'bay': b, 'water': c}))

# Tracks.
def road(n=N):
    lat, lon, p, v = [], [], (47.1, 8.2), []
    for i in range(n):
        speed = 13 + 5 * math.sin(i / 9)
        v.append(round(speed, 2))
        lat.append(round(p[0], 7))
        lon.append(round(p[1], 7))
        p = (p[0] + speed / 111195, p[1] + speed * .3 / 75000)
    return [float(i) for i in range(n)], lat, lon, v

def zulu(x):
    return (START + timedelta(seconds=x)).strftime('%Y-%m-%dT%H:%M:%SZ')

def positions(t, lat, lon, v=None):
    d = {'start': START.isoformat() + 'Z', 'time': t, 'angle': {'latitude': lat, 'longitude': lon}}
    if v:
        d['speed'] = {'speed': v}
    return d

for i in range(6):
    t, lat, lon, v = road()
    root = ET.Element('TrainingCenterDatabase', xmlns='urn:training')
    track = ET.SubElement(ET.SubElement(ET.SubElement(ET.SubElement(root, 'Activities'), 'Activity', Sport='Other'), 'Lap', StartTime=zulu(0)), 'Track')
    for x, la, lo, s in zip(t, lat, lon, v):
        p = ET.SubElement(track, 'Trackpoint')
        ET.SubElement(p, 'Time').text = zulu(x)
        q = ET.SubElement(p, 'Position')
        ET.SubElement(q, 'LatitudeDegrees').text = repr(la)
        ET.SubElement(q, 'LongitudeDegrees').text = repr(lo)
        ET.SubElement(p, 'AltitudeMeters').text = '430.5'
        if i % 2:
            ET.SubElement(ET.SubElement(p, 'HeartRateBpm'), 'Value').text = '71'
        if i % 3:
            ET.SubElement(ET.SubElement(ET.SubElement(p, 'Extensions'), 'TPX'), 'Speed').text = repr(s)
    put('track-%d.tcx' % i, ET.tostring(root, xml_declaration=True, encoding=['utf-8', 'utf-16', 'iso-8859-1'][i % 3]), positions(t, lat, lon, v if i % 3 else None))
    gx = 'urn:gx'
    kml = ET.Element('{http://www.opengis.net/kml/2.2}kml')
    document = ET.SubElement(kml, 'Document')
    if i % 2 == 0:
        track = ET.SubElement(ET.SubElement(document, 'Placemark'), '{%s}Track' % gx)
        for x in t:
            ET.SubElement(track, 'when').text = zulu(x)
        for la, lo in zip(lat, lon):
            ET.SubElement(track, '{%s}coord' % gx).text = '%r %r 430' % (lo, la)
    else:
        for x, la, lo in zip(t, lat, lon):
            place = ET.SubElement(document, 'Placemark')
            ET.SubElement(ET.SubElement(place, 'TimeStamp'), 'when').text = zulu(x)
            ET.SubElement(ET.SubElement(place, 'Point'), 'coordinates').text = '%r,%r,430' % (lo, la)
    data = ET.tostring(kml, xml_declaration=True, encoding='utf-8')
    name = 'track-%d.kml' % i
    if i > 3:
        f = io.BytesIO()
        with zipfile.ZipFile(f, 'w') as z:
            z.writestr('doc.kml', data)
        data, name = f.getvalue(), 'track-%d.kmz' % i
    put(name, data, positions(t, lat, lon))
    gpx = ET.Element('gpx', version='1.1', creator='test', xmlns='http://www.topografix.com/GPX/1/1')
    seg = ET.SubElement(ET.SubElement(gpx, 'trk'), 'trkseg')
    for x, la, lo, s in zip(t, lat, lon, v):
        p = ET.SubElement(seg, 'trkpt', lat=repr(la), lon=repr(lo))
        ET.SubElement(p, 'ele').text = '430'
        ET.SubElement(p, 'time').text = zulu(x)
        if i % 2:
            e = ET.SubElement(ET.SubElement(p, 'extensions'), 'TrackPointExtension')
            ET.SubElement(e, 'speed').text = repr(s)
            ET.SubElement(e, 'atemp').text = '14'
    put('track-%d.gpx' % i, ET.tostring(gpx, xml_declaration=True, encoding='utf-8'), positions(t, lat, lon, v if i % 2 else None))


def fit(t, lat, lon, v, little=True):
    """The FIT protocol: header, a definition, records, checksum."""
    o = '<' if little else '>'
    base = int((START - datetime(1989, 12, 31)).total_seconds())
    fields = [(253, 4, 0x86), (0, 4, 0x85), (1, 4, 0x85), (2, 2, 0x84), (6, 2, 0x84), (13, 1, 0x01)]
    body = bytes([0x41]) + struct.pack(o + 'BBHB', 0, 0 if little else 1, 0, 1) + bytes([0, 1, 0x00]) + bytes([1, 4])
    body += bytes([0x40]) + struct.pack(o + 'BBHB', 0, 0 if little else 1, 20, len(fields)) + b''.join(bytes(f) for f in fields)
    for x, la, lo, s in zip(t, lat, lon, v):
        semi = lambda d: int(round(d * 2**31 / 180))
        body += bytes([0]) + struct.pack(o + 'IiiHHb', base + int(x), semi(la), semi(lo), int((430 + 500) * 5), int(round(s * 1000)), 14)
    head = struct.pack('<BBHI4s', 14, 0x10, 2132, len(body), b'.FIT')
    def crc(data, c=0):
        table = [0x0, 0xCC01, 0xD801, 0x1400, 0xF001, 0x3C00, 0x2800, 0xE401, 0xA001, 0x6C00, 0x7800, 0xB401, 0x5000, 0x9C01, 0x8801, 0x4400]
        for byte in data:
            c = ((c >> 4) & 0xFFF) ^ table[c & 0xF] ^ table[byte & 0xF]
            c = ((c >> 4) & 0xFFF) ^ table[c & 0xF] ^ table[(byte >> 4) & 0xF]
        return c
    head += struct.pack('<H', crc(head))
    return head + body + struct.pack('<H', crc(head + body))

for i in range(4):
    t, lat, lon, v = road(N + i)
    put('track-%d.fit' % i, fit(t, lat, lon, v, little=i % 2 == 0), positions(t, lat, lon, v))

# Data bases.
for i in range(8):
    t, a, b, c = drive(n=[90, 400, 90, 2000][i % 4])
    path = tempfile.mktemp()
    db = sqlite3.connect(path)
    db.execute('PRAGMA page_size=%d' % [512, 4096, 65536, 1024][i % 4])
    if i > 3:
        db.execute("PRAGMA encoding='UTF-16le'")
    db.execute('CREATE TABLE meta (key TEXT, value TEXT)')
    db.execute("INSERT INTO meta VALUES ('device', ?)", ('x' * 3000,))
    stamp = 'time INTEGER' if i % 2 else 'time TEXT'
    db.execute('CREATE TABLE readings (id INTEGER PRIMARY KEY, %s NOT NULL, "intake (°C)" REAL, [bay (°C)] NUMERIC(5,1), `water (°C)` REAL, note TEXT)' % stamp)
    for r in zip(t, a, b, c):
        at = START + timedelta(seconds=r[0])
        db.execute('INSERT INTO readings (time, "intake (°C)", [bay (°C)], `water (°C)`) VALUES (?,?,?,?)', (int(at.replace(tzinfo=timezone.utc).timestamp() * 1000) if i % 2 else at.isoformat(' '),) + r[1:])
    db.commit()
    db.close()
    put('readings-%d.db' % i, open(path, 'rb').read(), truth(t, {'intake': a, 'bay': b, 'water': c}))
    os.remove(path)

# Long format, and an archive with one CSV for each sensor.
for i in range(4):
    t, a, b, c = drive()
    frame = pd.DataFrame({'time': [(START + timedelta(seconds=x)).strftime(STAMPS[i]) for x in t], 'Intake': a, 'Bay': b, 'Water': c})
    long = frame.melt(id_vars='time', var_name='channel', value_name='value').assign(unit='°C').sort_values(['time', 'channel'], kind='stable')
    put('long-%d.csv' % i, long.to_csv(index=False), truth(t, {'intake': a, 'bay': b, 'water': c}))
    f = io.BytesIO()
    frame.to_csv(f, index=False, compression='gzip')
    frame.columns = ['time', 'Intake (°C)', 'Bay (°C)', 'Water (°C)']
    import gzip
    put('packed-%d.csv.gz' % i, gzip.compress(frame.to_csv(index=False).encode(), mtime=0), truth(t, {'intake': a, 'bay': b, 'water': c}))
out.close()
