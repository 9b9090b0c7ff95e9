"""Writes kin.zip: further relatives of the troubles that people bring, with
what they mean, by somebody who knows loggers and locales and not the reader.

    python3 kin.py kin.zip     (Debian: python3-openpyxl python3-xlwt python3-pandas)

The drive is invented. Each file NAME has a NAME.truth as in write.py.
"""
import gzip, io, json, math, os, random, sqlite3, struct, sys, tarfile, tempfile, zipfile
from datetime import date, datetime, time, timedelta, timezone
import openpyxl, pandas as pd, xlwt

random.seed(20261128)
N = 72
START = datetime(2025, 11, 18, 16, 42, 9)
out = zipfile.ZipFile(sys.argv[1], 'w', zipfile.ZIP_DEFLATED)
T = [2.0 * i for i in range(N)]
A, B, C = [], [], []
for i in range(N):
    u = i / N
    A.append(round(11 + 24 * u + random.gauss(0, .3), 1))
    B.append(round(14 + 41 * math.sqrt(u) + random.gauss(0, .4), 1))
    C.append(round(13 + 76 * math.sqrt(u) + random.gauss(0, .2), 1))
S = [round(max(0, 61 * math.sin(i / 11.0)), 1) for i in range(N)]  # km/h
R = [int(840 + 24 * s + random.gauss(0, 15)) for s in S]
LAT, LON = [46.512], [7.31]
for s in S[:-1]:
    LAT.append(LAT[-1] + s / 3.6 * 2 / 111200 * .8)
    LON.append(LON[-1] + s / 3.6 * 2 / 111200 / math.cos(math.radians(46.5)) * .6)
LAT, LON = [round(x, 6) for x in LAT], [round(x, 6) for x in LON]
ALT = [round(560 + 12 * math.sin(i / 9), 1) for i in range(N)]


def put(name, data, truth):
    if isinstance(data, str):
        data = data.encode()
    for n, d in ((name, data), (name + '.truth', json.dumps(truth).encode())):
        info = zipfile.ZipInfo(n, (2025, 12, 1, 0, 0, 0))
        info.compress_type = zipfile.ZIP_DEFLATED
        out.writestr(info, d)


def truth(dated=True, t=T, start=START, names=('intake', 'bay', 'coolant'), cols=(A, B, C), **more):
    return dict({'start': start.isoformat() + 'Z' if dated else None, 'time': list(t), 'temperature': dict(zip(names, cols))}, **more)


def place(lat='latitude', lon='longitude'):
    return truth(names=(), angle={lat: LAT, lon: LON})


def at(i, step=2.0):
    return START + timedelta(seconds=i * step)


def epoch(i):
    return at(i).replace(tzinfo=timezone.utc).timestamp()


def text(head, stamp, d=',', num=lambda v: '%.1f' % v, cols=(A, B, C), end='\n', n=N):
    return head + end + end.join(d.join([stamp(i)] + [num(c[i]) for c in cols]) for i in range(n)) + end


HEAD, HEADS = 'Time,intake (°C),bay (°C),coolant (°C)', 'Time;intake (°C);bay (°C);coolant (°C)'
iso = lambda i: at(i).strftime('%Y-%m-%d %H:%M:%S')
comma = lambda v: ('%.1f' % v).replace('.', ',')
plain = text(HEAD, iso)
F = lambda v: round(v * 1.8 + 32, 1)

# --- data bases -------------------------------------------------------------


def data_base(name, make, insert, rows, want, page=4096, before=()):
    path = tempfile.mktemp('.db')
    db = sqlite3.connect(path)
    db.execute('PRAGMA page_size=%d' % page)
    for b in before:
        db.execute(b)
    for m in make if isinstance(make, list) else [make]:
        db.execute(m)
    order = list(rows)
    if insert:
        random.shuffle(order)
        db.executemany(insert, order)
    db.commit()
    db.close()
    put(name, open(path, 'rb').read(), want)
    os.remove(path)


four = [(iso(i), A[i], B[i], C[i]) for i in range(N)]
data_base('db-key-first.db', 'CREATE TABLE log (time TEXT PRIMARY KEY, "intake (°C)" REAL, "bay (°C)" REAL, "coolant (°C)" REAL) WITHOUT ROWID', 'INSERT INTO log VALUES (?,?,?,?)', four, truth())
data_base('db-key-last.db', 'CREATE TABLE log ("intake (°C)" REAL, "bay (°C)" REAL, "coolant (°C)" REAL, time TEXT PRIMARY KEY NOT NULL) without rowid', 'INSERT INTO log VALUES (?,?,?,?)', [(a, b, c, t) for t, a, b, c in four], truth(), 512)
data_base('db-key-pair.db', 'CREATE TABLE log ("intake (°C)" REAL, device TEXT, "bay (°C)" REAL, time INTEGER, "coolant (°C)" REAL, PRIMARY KEY (time, device)) WITHOUT ROWID, STRICT' if sqlite3.sqlite_version_info >= (3, 37) else 'CREATE TABLE log ("intake (°C)" REAL, device TEXT, "bay (°C)" REAL, time INTEGER, "coolant (°C)" REAL, PRIMARY KEY (time, device)) WITHOUT ROWID',
          'INSERT INTO log VALUES (?,?,?,?,?)', [(A[i], 'grey box', B[i], int(epoch(i)), C[i]) for i in range(N)], truth(), 1024)
data_base('db-key-falling.db', 'CREATE TABLE log (note TEXT, "intake (°C)" REAL, "bay (°C)" REAL, "coolant (°C)" REAL, time TEXT, PRIMARY KEY (time DESC)) WITHOUT ROWID', 'INSERT INTO log VALUES (?,?,?,?,?)', [('x' * (900 if i % 9 == 0 else 3), a, b, c, t) for i, (t, a, b, c) in enumerate(four)], truth(), 512)
many = 3000
mt = [float(i) for i in range(many)]
ma = [round(20 + 30 * i / many + random.gauss(0, .2), 1) for i in range(many)]
data_base('db-key-many.db', 'CREATE TABLE log (ts INTEGER PRIMARY KEY, "intake (°C)" REAL) WITHOUT ROWID', 'INSERT INTO log VALUES (?,?)', [(int(epoch(0)) + i, ma[i]) for i in range(many)], truth(t=mt, names=('intake',), cols=(ma,)), 512)
path = tempfile.mktemp('.db')
db = sqlite3.connect(path)
db.execute('CREATE TABLE log (time TEXT, "intake (°C)" REAL, "bay (°C)" REAL)')
db.executemany('INSERT INTO log VALUES (?,?,?)', [r[:3] for r in four[:30]])
db.execute('ALTER TABLE log ADD COLUMN "coolant (°C)" REAL DEFAULT 17.5')
db.executemany('INSERT INTO log VALUES (?,?,?,?)', four[30:])
db.commit(); db.close()
put('db-added.db', open(path, 'rb').read(), truth(cols=(A, B, [17.5] * 30 + C[30:])))
os.remove(path)
data_base('db-computed.db', 'CREATE TABLE log (id INTEGER PRIMARY KEY, "intake F" REAL GENERATED ALWAYS AS ("intake (°C)"*1.8+32) VIRTUAL, time TEXT, "intake (°C)" REAL, "bay (°C)" REAL, "coolant (°C)" REAL)',
          'INSERT INTO log (time,"intake (°C)","bay (°C)","coolant (°C)") VALUES (?,?,?,?)', four, truth())
data_base('db-computed-stored.db', 'CREATE TABLE log (raw REAL, time TEXT, "intake (°C)" REAL AS (raw/10.0) STORED, "bay (°C)" REAL, "coolant (°C)" REAL)',
          'INSERT INTO log (raw,time,"bay (°C)","coolant (°C)") VALUES (?,?,?,?)', [(a * 10, t, b, c) for t, a, b, c in four], truth())
data_base('db-key-behind.db', 'CREATE TABLE "log (of a drive)" (id INTEGER, time TEXT NOT NULL, "intake (°C)" REAL, "bay (°C)" REAL, "coolant (°C)" REAL, PRIMARY KEY(id))', 'INSERT INTO "log (of a drive)" (time,"intake (°C)","bay (°C)","coolant (°C)") VALUES (?,?,?,?)', four, truth())
data_base('db-julian.db', 'CREATE TABLE log (time REAL, "intake (°C)" REAL, "bay (°C)" REAL, "coolant (°C)" REAL)', 'INSERT INTO log VALUES (julianday(?),?,?,?)', four, truth())
data_base('db-vacuumed.db', 'CREATE TABLE log (time TEXT, "intake (°C)" REAL, "bay (°C)" REAL, "coolant (°C)" REAL)', 'INSERT INTO log VALUES (?,?,?,?)', four, truth(), 512, ['PRAGMA auto_vacuum=FULL', 'CREATE TABLE "settings" (k TEXT PRIMARY KEY, v BLOB) WITHOUT ROWID'])

# --- GeoJSON ----------------------------------------------------------------
coordinates = [[LON[i], LAT[i], ALT[i]] for i in range(N)]
zulu = [iso(i).replace(' ', 'T') + 'Z' for i in range(N)]
line = {'type': 'LineString', 'coordinates': coordinates}
dump = json.dumps
put('map-coordtimes.geojson', dump({'type': 'FeatureCollection', 'features': [{'type': 'Feature', 'properties': {'name': 'drive', 'coordTimes': zulu}, 'geometry': line}]}, indent=1), place())
put('map-times.geojson', dump({'type': 'Feature', 'properties': {'coordinateProperties': {'times': zulu, 'temps': A}}, 'geometry': line}), place())
put('map-pieces.geojson', dump({'type': 'FeatureCollection', 'features': [{'type': 'Feature', 'properties': {'coordTimes': [zulu[:40], zulu[40:]]}, 'geometry': {'type': 'MultiLineString', 'coordinates': [coordinates[:40], coordinates[40:]]}}]}), place())
put('map-points.geojson', dump({'type': 'FeatureCollection', 'features': [{'type': 'Feature', 'properties': {'time': zulu[i], 'intake (°C)': A[i]}, 'geometry': {'type': 'Point', 'coordinates': coordinates[i]}} for i in range(N)]}), truth(names=('intake',), cols=(A,), angle={'latitude': LAT, 'longitude': LON}))
put('map-points-epoch.geojson', dump({'features': [{'geometry': {'coordinates': coordinates[i][:2], 'type': 'Point'}, 'properties': {'timestamp': int(epoch(i) * 1000), 'speed_kmh': S[i]}, 'type': 'Feature'} for i in range(N)], 'type': 'FeatureCollection'}, indent=2), place())
put('map-sequence.geojsonl', '\n'.join(dump({'type': 'Feature', 'properties': {'time': zulu[i]}, 'geometry': {'type': 'Point', 'coordinates': coordinates[i]}}) for i in range(N)) + '\n', place())
put('map-places.geojson', dump({'type': 'FeatureCollection', 'features': [{'type': 'Feature', 'properties': {'name': 'fuel'}, 'geometry': {'type': 'Point', 'coordinates': [7, 46]}}, {'type': 'Feature', 'properties': {'times': [int(epoch(i)) for i in range(N)]}, 'geometry': line}]}), place())
put('map-untimed.geojson', dump({'type': 'Feature', 'properties': {}, 'geometry': line}), place())
put('map-short-times.geojson', dump({'type': 'Feature', 'properties': {'coordTimes': zulu[:-1]}, 'geometry': line}), place())
put('map-bare.geojson', dump(line), place())

# --- lists in JSON ----------------------------------------------------------
NM = ('intake (°C)', 'bay (°C)', 'coolant (°C)')
groups = [range(k, min(k + 10, N)) for k in range(0, N, 10)]
obj = lambda i, t: dict({'time': t}, **{n: c[i] for n, c in zip(NM, (A, B, C))})
put('list-columns.jsonl', '\n'.join(dump(dict({'time': [zulu[i] for i in g]}, **{n: [c[i] for i in g] for n, c in zip(NM, (A, B, C))})) for g in groups), truth())
put('list-t-v.jsonl', '\n'.join(dump({'t': [epoch(i) for i in g], 'intake (°C)': [A[i] for i in g]}) for g in groups), truth(names=('intake',), cols=(A,)))
put('list-samples.jsonl', '\n'.join(dump({'device': 'grey', 'samples': [obj(i, zulu[i]) for i in g]}) for g in groups), truth())
put('list-samples-one.json', dump({'device': 'grey', 'samples': [obj(i, zulu[i]) for i in range(N)]}), truth())
put('list-samples-sent.jsonl', '\n'.join(dump({'sent_time': zulu[g[-1]], 'samples': [obj(i, zulu[i]) for i in g]}) for g in groups), truth())
put('list-offsets.jsonl', '\n'.join(dump({'time': zulu[g[0]], 'samples': [obj(i, 2000 * k) for k, i in enumerate(g)]}) for g in groups), truth())
put('list-burst.jsonl', '\n'.join(dump({'time': zulu[g[0]], 'intake (°C)': [A[i] for i in g]}) for g in groups), truth(names=('intake',), cols=(A,)))
put('list-ragged.jsonl', '\n'.join(dump({'time': [zulu[i] for i in g], 'intake (°C)': [A[i] for i in g][:-1] if k == 2 else [A[i] for i in g]}) for k, g in enumerate(groups)), truth(names=('intake',), cols=(A,)))
put('list-channels.jsonl', '\n'.join(dump({'time': zulu[i], 'temps': [A[i], B[i], C[i]]}) for i in range(N)), truth(names=('temps 1', 'temps 2', 'temps 3')))
put('list-long.jsonl', '\n'.join(dump({'time': zulu[i], 'readings': [{'sensor': n, 'temperature': c[i], 'unit': '°C'} for n, c in zip(('intake', 'bay', 'coolant'), (A, B, C))]}) for i in range(N)), truth())
put('list-documents.json', '\n'.join(dump(obj(i, zulu[i]), indent=2) for i in range(N)), truth())
put('list-batches.json', dump([{'time': [zulu[i] for i in g], 'intake (°C)': [A[i] for i in g]} for g in groups]), truth(names=('intake',), cols=(A,)))
put('list-start-interval.json', dump({'start': zulu[0], 'interval_s': 2, 'intake (°C)': A}), truth(names=('intake',), cols=(A,)))
frame = pd.DataFrame(dict({'time': zulu}, **dict(zip(NM, (A, B, C)))))
for orient in ('split', 'records', 'index', 'columns', 'values', 'table'):
    put('frame-%s.json' % orient, frame.to_json(orient=orient), truth(names=('#2', '#3', '#4')) if orient == 'values' else truth())

# --- archives ---------------------------------------------------------------


def zipped(*files):
    b = io.BytesIO()
    with zipfile.ZipFile(b, 'w', zipfile.ZIP_DEFLATED) as z:
        for n, d in files:
            z.writestr(zipfile.ZipInfo(n, (2025, 12, 1, 0, 0, 0)), d)
    return b.getvalue()


def taped(*files, form=tarfile.PAX_FORMAT):
    b = io.BytesIO()
    with tarfile.open(fileobj=b, mode='w', format=form) as z:
        for n, d in files:
            i = tarfile.TarInfo(n)
            i.size = len(d)
            z.addfile(i, io.BytesIO(d))
    return b.getvalue()


raw = plain.encode()
put('pack-zip-in-zip.zip', zipped(('drive/log.zip', zipped(('log.csv', raw)))), truth())
put('pack-three-deep.zip', zipped(('a.zip', zipped(('b.zip', zipped(('log.csv', raw)))))), truth())
put('pack-gz-in-zip.zip', zipped(('log.csv.gz', gzip.compress(raw, mtime=0))), truth())
put('pack-tar.tar', taped(('./card/log.csv', raw)), truth())
put('pack-old.tar', taped(('log.csv', raw), form=tarfile.USTAR_FORMAT), truth())
put('pack-gnu.tar', taped(('x' * 120 + '/log.csv', raw), form=tarfile.GNU_FORMAT), truth())
put('pack.tar.gz', gzip.compress(taped(('log.csv', raw)), mtime=0), truth())
put('pack.tgz', gzip.compress(taped(('log.zip', zipped(('log.csv', raw)))), mtime=0), truth())
put('pack-gz-gz.gz', gzip.compress(gzip.compress(raw, mtime=0), mtime=0), truth())
put('pack-two.tar', taped(('a.csv', raw), ('b.csv', raw)), truth())
put('pack-cut.tar', taped(('log.csv', raw))[:1500], truth())

# --- stamps -----------------------------------------------------------------
DE = ['Jan', 'Feb', 'Mär', 'Apr', 'Mai', 'Jun', 'Jul', 'Aug', 'Sep', 'Okt', 'Nov', 'Dez']
stamps = {
    'hungarian': lambda i: at(i).strftime('%Y.%m.%d. %H:%M:%S'),
    'finnish': lambda i: '%d.%d.%d klo %d.%02d.%02d' % (at(i).day, at(i).month, at(i).year, at(i).hour, at(i).minute, at(i).second),
    'swedish': lambda i: at(i).strftime('%Y-%m-%d kl. %H:%M:%S'),
    'danish': lambda i: at(i).strftime('%d-%m-%Y %H.%M.%S'),
    'thai': lambda i: at(i).strftime('%d/%m/') + '2568 ' + at(i).strftime('%H:%M:%S'),
    'reiwa': lambda i: '令和7年11月18日 %d時%d分%d秒' % (at(i).hour, at(i).minute, at(i).second),
    'chinese': lambda i: '2025年11月18日 下午%d:%02d:%02d' % (at(i).hour - 12, at(i).minute, at(i).second),
    'korean': lambda i: '2025. 11. 18. 오후 %d:%02d:%02d' % (at(i).hour - 12, at(i).minute, at(i).second),
    'ctime': lambda i: at(i).strftime('%a %b %d %H:%M:%S %Y'),
    'java': lambda i: at(i).strftime('%a %b %d %H:%M:%S UTC %Y'),
    'script': lambda i: at(i).strftime('%a %b %d %Y %H:%M:%S GMT+0000 (Coordinated Universal Time)'),
    'mail': lambda i: at(i).strftime('"%a, %d %b %Y %H:%M:%S +0000"'),
    'basic': lambda i: at(i).strftime('%Y%m%dT%H%M%SZ'),
    'ordinal': lambda i: at(i).strftime('%Y-%jT%H:%M:%S'),
    'us-12h': lambda i: at(i).strftime('%m/%d/%Y %I:%M:%S %p'),
    'us-12h-dots': lambda i: at(i).strftime('%m/%d/%y %I:%M:%S ') + 'p.m.',
    'oracle': lambda i: at(i).strftime('%d-%b-%y %I.%M.%S.000000 %p').upper(),
    'german-month': lambda i: '%d. %s. %d %s' % (at(i).day, DE[at(i).month - 1], at(i).year, at(i).strftime('%H:%M:%S')),
    'slashed-time': lambda i: at(i).strftime('%Y/%m/%d/%H/%M/%S'),
    'underscored': lambda i: at(i).strftime('%Y_%m_%d_%H_%M_%S'),
    'json-date': lambda i: '/Date(%d)/' % (epoch(i) * 1000),
    'ms-colon': lambda i: at(i).strftime('%d.%m.%Y %H:%M:%S:000'),
    'hms-letters': lambda i: at(i).strftime('2025-11-18 %Hh%Mm%Ss'),
    'bracketed': lambda i: at(i).strftime('[%Y-%m-%d %H:%M:%S]'),
    'offset': lambda i: (at(i) + timedelta(hours=5, minutes=45)).strftime('%Y-%m-%dT%H:%M:%S+05:45'),
    'zone-name': lambda i: at(i).strftime('%Y-%m-%d %H:%M:%S GMT'),
    'no-century': lambda i: at(i).strftime('%y-%m-%d %H:%M:%S'),
    'day-first-dash': lambda i: at(i).strftime('%d-%m-%y %H:%M:%S'),
    'compact': lambda i: at(i).strftime('%Y%m%d%H%M%S'),
    'compact-ms': lambda i: at(i).strftime('%Y%m%d%H%M%S') + '000',
}
for n, s in stamps.items():
    put('stamp-%s.csv' % n, text(HEADS, s, ';', comma), truth())
counts = {
    'cocoa': ('CFAbsoluteTime', lambda i: '%.1f' % ((at(i) - datetime(2001, 1, 1)).total_seconds())),
    'seconds-1904': ('Time (s since 1904)', lambda i: '%.1f' % ((at(i) - datetime(1904, 1, 1)).total_seconds())),
    'ticks': ('Ticks', lambda i: '%d' % (((at(i) - datetime(1, 1, 1)).days * 86400 + (at(i) - datetime(1, 1, 1)).seconds) * 10**7)),
    'filetime': ('FileTime', lambda i: '%d' % (((at(i) - datetime(1601, 1, 1)).days * 86400 + (at(i) - datetime(1601, 1, 1)).seconds) * 10**7)),
    'serial': ('Date/Time', lambda i: '%.8f' % ((at(i) - datetime(1899, 12, 30)).total_seconds() / 86400)),
    'matlab': ('datenum', lambda i: '%.8f' % ((at(i) - datetime(1, 1, 1)).total_seconds() / 86400 + 367)),
    'epoch-hex': ('Time', lambda i: '0x%X' % int(epoch(i))),
    'epoch-us': ('timestamp', lambda i: '%d' % (epoch(i) * 1e6)),
    'epoch-ns': ('time', lambda i: '%d' % (int(epoch(i)) * 10**9)),
    'epoch-exp': ('Time', lambda i: '%.9E' % epoch(i)),
    'epoch-short': ('Time', lambda i: '%.5E' % (epoch(i) * 1000)),
    'epoch-sixdigits': ('Time', lambda i: '%.6g' % epoch(i)),
    'serial-mangled': ('Time', lambda i: '%.3E' % ((at(i) - datetime(1899, 12, 30)).total_seconds() / 86400)),
    'gps-seconds': ('GPS time (s)', lambda i: '%.1f' % ((at(i) - datetime(1980, 1, 6)).total_seconds() + 18)),
}
for n, (h, s) in counts.items():
    put('count-%s.csv' % n, text(HEAD.replace('Time', h), s), truth())
elapsed = {
    'minutes-decimal': ('Time (min)', lambda i: '%.4f' % (i / 30)),
    'hours-decimal': ('Zeit [h]', lambda i: '%.6f' % (i / 1800)),
    'days': ('Elapsed days', lambda i: '%.8f' % (i / 43200)),
    'time-days': ('Time (days)', lambda i: '%.8f' % (i / 43200)),
    't-per-min': ('t / min', lambda i: '%.4f' % (i / 30)),
    'mmss': ('Elapsed', lambda i: '%02d:%02d' % divmod(2 * i, 60)),
    'mmss-tenths': ('Elapsed', lambda i: '%d:%04.1f' % divmod(2.0 * i, 60)),
    'hmm': ('Run time (h:mm:ss)', lambda i: '0:%02d:%02d' % divmod(2 * i, 60)),
    'primes': ('Time', lambda i: "%d'%02d\"" % divmod(2 * i, 60)),
    'letters': ('Elapsed', lambda i: '%dm %ds' % divmod(2 * i, 60)),
    'plus': ('Elapsed', lambda i: '+00:%02d:%02d' % divmod(2 * i, 60)),
    'millis': ('millis', lambda i: '%d' % (2000 * i)),
    'tenths': ('Time (0.1s)', lambda i: '%d' % (20 * i)),
    'countdown': ('Remaining (s)', lambda i: '%d' % (2 * (N - 1 - i))),
    'over-day': ('Elapsed', lambda i: '%d:%02d:%02d' % (23 + (3540 + 2 * i) // 3600, (3540 + 2 * i) % 3600 // 60, (3540 + 2 * i) % 60)),
    'days-hms': ('Elapsed', lambda i: '0d 00:%02d:%02d' % divmod(2 * i, 60)),
    'iso-duration': ('Elapsed', lambda i: 'PT%dM%dS' % divmod(2 * i, 60)),
}
for n, (h, s) in elapsed.items():
    put('elapsed-%s.csv' % n, text(HEAD.replace('Time', h), s), truth(False, t=[86340 + x for x in T] if n == 'over-day' else T))

# --- clocks -----------------------------------------------------------------
clock = lambda i: at(i).strftime('%H:%M:%S')
put('clock-midnight.csv', text(HEAD, lambda i: (datetime(2025, 11, 18, 23, 58, 50) + timedelta(seconds=2 * i)).strftime('%H:%M:%S')), truth(False))
put('clock-12h-noon.csv', text(HEAD, lambda i: (datetime(2025, 11, 18, 12, 58, 50) + timedelta(seconds=2 * i)).strftime('%I:%M:%S')), truth(False))
put('clock-back-hour.csv', text(HEAD, lambda i: (datetime(2025, 10, 26, 2, 58, 50) + timedelta(seconds=2 * i - (3600 if i > 34 else 0))).strftime('%Y-%m-%d %H:%M:%S')), truth(start=datetime(2025, 10, 26, 2, 58, 50)))
put('clock-forward-hour.csv', text(HEAD, lambda i: (datetime(2025, 3, 30, 1, 58, 50) + timedelta(seconds=2 * i + (3600 if i > 34 else 0))).strftime('%Y-%m-%d %H:%M:%S')), truth(start=datetime(2025, 3, 30, 1, 58, 50)))
put('clock-set.csv', text(HEAD, lambda i: (at(i) + timedelta(minutes=37 if i > 20 else 0)).strftime('%Y-%m-%d %H:%M:%S')), truth())
put('clock-reset-2000.csv', text(HEAD, lambda i: (at(i) if i < 40 else datetime(2000, 1, 1) + timedelta(seconds=2 * (i - 40))).strftime('%Y-%m-%d %H:%M:%S')), truth(t=[(datetime(2000, 1, 1) - START).total_seconds() + 2 * k for k in range(N - 40)] + T[:40], cols=tuple(c[40:] + c[:40] for c in (A, B, C))))
put('clock-newest-first.csv', HEAD + '\n' + '\n'.join(reversed(plain.strip().split('\n')[1:])) + '\n', truth())
put('clock-minute-only.csv', text(HEAD, lambda i: at(i).strftime('%Y-%m-%d %H:%M')), truth())
put('clock-order-change.csv', text(HEAD, lambda i: at(i).strftime('%d/%m/%Y %H:%M:%S' if i < 30 else '%m/%d/%Y %H:%M:%S')), truth())
put('clock-unpadded-ms.csv', HEAD + '\n' + ''.join('2025-11-18 16:42:%d.%d,%.1f,%.1f,%.1f\n' % (9 + 50 * i // 1000, (50 * i) % 1000, A[i], B[i], C[i]) for i in range(N)), truth(t=[.05 * i for i in range(N)]))
put('clock-glitch.csv', text(HEAD, lambda i: at(i + (5000 if i in (20, 45) else 0)).strftime('%Y-%m-%d %H:%M:%S')), truth())
put('clock-year-wrong.csv', text(HEAD, lambda i: at(i).strftime('%Y-%m-%d %H:%M:%S').replace('2025', '0025')), truth())
put('clock-split.csv', text('Date,Hour,Min,Sec,intake (°C),bay (°C),coolant (°C)', lambda i: at(i).strftime('%Y-%m-%d,%H,%M,%S')), truth())
put('clock-parts.csv', text('Y,M,D,h,m,s,intake (°C),bay (°C),coolant (°C)', lambda i: ','.join(str(x) for x in at(i).timetuple()[:6])), truth())
put('clock-ms-column.csv', text('Date,Time,ms,intake (°C),bay (°C),coolant (°C)', lambda i: at(i).strftime('%d.%m.%Y,%H:%M:%S,') + '0'), truth())
put('clock-swapped.csv', text('Time,Date,intake (°C),bay (°C),coolant (°C)', lambda i: at(i).strftime('%H:%M:%S,%d.%m.%Y')), truth())

# --- numbers, units, words ----------------------------------------------------
numbers = {
    'sign': lambda v: '%+07.1f' % v, 'exp': lambda v: '%.2E' % v, 'degree': lambda v: '%.1f°' % v, 'degree-c': lambda v: '%.1f°C' % v,
    'c': lambda v: '%.1fC' % v, 'ok': lambda v: '%.1f ok' % v, 'equals': lambda v: '="%.1f"' % v, 'quoted': lambda v: '"%.1f"' % v,
    'blanks': lambda v: '  %6.1f ' % v, 'apostrophe': lambda v: "'%.1f" % v, 'double-degree': lambda v: '%.1f ºC' % v, 'mojibake': lambda v: '%.1f Â°C' % v,
    'three-decimals': lambda v: '%.3f' % v, 'star': lambda v: '%.1f*' % v, 'k': lambda v: '%.2f K' % (v + 273.15), 'deg-f': lambda v: '%.2f °F' % (v * 1.8 + 32),
}
for n, x in numbers.items():
    put('number-%s.csv' % n, text('Time,intake,bay,coolant' if n in ('k', 'deg-f', 'c', 'degree-c', 'double-degree', 'mojibake') else HEAD, iso, num=x), truth())
put('number-comma-in-comma.csv', text(HEAD, iso, num=comma), truth())
put('number-thousands-rpm.csv', text('Time;intake (°C);rpm', iso, ';', lambda v: comma(v) if isinstance(v, float) else '{:,}'.format(v).replace(',', '.'), (A, R)), truth(names=('intake',), cols=(A,)))
put('number-day-month.csv', text(HEADS, iso, ';', lambda v: '%d. %s' % (int(v), DE[int(round(v * 10)) % 10 - 1]) if 0 < int(round(v * 10)) % 10 and v < 32 else comma(v)), truth())
put('number-tenths.csv', text('Time,intake,bay,coolant', iso, num=lambda v: '%d' % round(v * 10)), truth())
put('number-tenths-k.csv', text('Time,intake,bay,coolant', iso, num=lambda v: '%d' % round((v + 273.2) * 10)), truth())
hot = [round(58 + 44 * math.sqrt(i / N) + random.gauss(0, .2), 1) for i in range(N)]
hot2 = [round(v + 6 + random.gauss(0, .2), 1) for v in hot]
put('unit-hot-c.csv', text('Time,oil,head', iso, cols=(hot, hot2)), truth(names=('oil', 'head'), cols=(hot, hot2)))
put('unit-f-bare.csv', text('Time,T1,T2,T3', iso, num=lambda v: '%.1f' % F(v)), truth(names=('t1', 't2', 't3')))
put('unit-switch.csv', HEAD.replace(' (°C)', '') + '\n' + '\n'.join('%s,%s' % (iso(i), ','.join('%.1f' % (F(c[i]) if i > 35 else c[i]) for c in (A, B, C))) for i in range(N)) + '\n', truth())
put('unit-column-mixed.csv', 'Time,intake,unit\n' + '\n'.join('%s,%.1f,%s' % (iso(i), F(A[i]) if i > 35 else A[i], 'F' if i > 35 else 'C') for i in range(N)) + '\n', truth(names=('intake',), cols=(A,)))
put('unit-row.csv', text(HEAD.replace(' (°C)', '') + '\n,°F,°F,°F', iso, num=lambda v: '%.1f' % F(v)), truth())
put('unit-preamble.csv', 'Unit: Fahrenheit\n' + text(HEAD.replace(' (°C)', ''), iso, num=lambda v: '%.1f' % F(v)), truth())
put('unit-each.csv', text('Time,intake °F,bay [K],coolant_degC', iso, num=lambda v: v, cols=(['%.1f' % F(v) for v in A], ['%.2f' % (v + 273.15) for v in B], ['%.1f' % v for v in C])), truth(names=('intake', 'bay', 'coolant')))
for n, w in {'ol': 'OL', 'dashes': '----', 'nc': 'N.C.', 'over': '>1372', 'under': '<-200', 'minus999': '-999.9', 'nines': '9999', 'overflow': '1.#QNAN', 'hash': '########', 'open': 'open', 'blank': ' ', 'unplugged': '-127.0', 'big': '3276.7', 'err': 'Err 3'}.items():
    put('word-%s.csv' % n, HEAD + '\n' + '\n'.join('%s,%s,%.1f,%.1f' % (iso(i), w if 20 <= i < 26 else '%.1f' % A[i], B[i], C[i]) for i in range(N)) + '\n', truth(cols=([None if 20 <= i < 26 else A[i] for i in range(N)], B, C)))
for n, w in {'85': 85.0, '0': 0.0, 'minus127': -127.0, '25': 25.0}.items():
    put('power-on-%s.csv' % n, HEAD + '\n' + '\n'.join('%s,%.1f,%.1f,%.1f' % (iso(i), w if i == 0 else A[i], w if i == 0 else B[i], w if i == 0 else C[i]) for i in range(N)) + '\n',
        truth(cols=tuple([None] + list(c[1:]) for c in (A, B, C))))

# --- headers and rows -----------------------------------------------------------
rows = plain.strip().split('\n')[1:]
put('head-same.csv', text('Time,T,T,T', iso), truth(names=('#2', '#3', '#4')))
put('head-temp-same.csv', text('Time,Temp (°C),Temp (°C),Temp (°C)', iso), truth(names=('#2', '#3', '#4')))
put('head-none.csv', '\n'.join(rows) + '\n', truth(names=('#2', '#3', '#4')))
put('head-serial-first.csv', 'Serial,' + HEAD + '\n' + 'GB-20417,' + rows[0] + '\n' + '\n'.join(',' + r for r in rows[1:]) + '\n', truth())
put('head-battery-first.csv', HEAD + ',Battery,Serial\n' + rows[0] + ',3.61,GB-20417\n' + '\n'.join(rows[1:]) + '\n', truth())
put('head-damaged-row.csv', HEAD + '\n' + '2025-11-1\x02\x7f8 16:4,1' + '\n' + '\n'.join(rows[1:]) + '\n', truth(cols=tuple([None] + list(c[1:]) for c in (A, B, C))))
put('head-repeated.csv', ''.join(HEAD + '\n' + '\n'.join(rows[k:k + 18]) + '\n' for k in range(0, N, 18)), truth())
put('head-swapped-later.csv', HEAD + '\n' + '\n'.join(rows[:36]) + '\nTime,coolant (°C),bay (°C),intake (°C)\n' + '\n'.join('%s,%.1f,%.1f,%.1f' % (iso(i), C[i], B[i], A[i]) for i in range(36, N)) + '\n', truth())
put('head-two-lines.csv', 'Time,intake,bay,coolant\n(s),(°C),(°C),(°C)\n' + '\n'.join('%d,%.1f,%.1f,%.1f' % (2 * i, A[i], B[i], C[i]) for i in range(N)) + '\n', truth(False))
put('head-statistics-behind.csv', plain + 'Min,%.1f,%.1f,%.1f\nMax,%.1f,%.1f,%.1f\nAvg,%.1f,%.1f,%.1f\n' % (min(A), min(B), min(C), max(A), max(B), max(C), sum(A) / N, sum(B) / N, sum(C) / N), truth())
put('head-sep.csv', 'sep=;\n' + text(HEADS, iso, ';', comma), truth())
put('head-comments.csv', ''.join(('# marker %d\n' % i if i % 15 == 0 else '') + r + '\n' for i, r in enumerate([HEAD] + rows)), truth())
put('head-trailing.csv', text(HEAD + ',', iso).replace('\n', ',\n').replace(',,\n', ',\n'), truth())
put('head-leading.csv', '\n'.join(';' + r for r in text(HEADS, iso, ';', comma).strip().split('\n')) + '\n', truth())
put('head-units-quoted.csv', text('"Time","intake, °C","bay, °C","coolant, °C"', iso), truth())
put('head-transposed.csv', '\n'.join([','.join(['Time'] + [iso(i) for i in range(N)])] + [','.join([n] + ['%.1f' % v for v in c]) for n, c in zip(NM, (A, B, C))]) + '\n', truth())
put('head-wide-gap.csv', 'Time,,intake (°C),,bay (°C),,coolant (°C)\n' + '\n'.join('%s,,%.1f,,%.1f,,%.1f' % (iso(i), A[i], B[i], C[i]) for i in range(N)) + '\n', truth())
put('head-time-last.csv', 'intake (°C),bay (°C),coolant (°C),Time\n' + '\n'.join('%.1f,%.1f,%.1f,%s' % (A[i], B[i], C[i], iso(i)) for i in range(N)) + '\n', truth())
put('head-side-by-side.csv', 'Time,intake (°C),Time,bay (°C)\n' + '\n'.join('%s,%.1f,%s,%.1f' % (iso(i), A[i], (at(i) + timedelta(seconds=1)).strftime('%Y-%m-%d %H:%M:%S'), B[i]) for i in range(N)) + '\n', truth(names=('intake',), cols=(A,)))

# --- dirty cards ------------------------------------------------------------------
put('card-ends-mixed.csv', ''.join(r + ('\r\n' if i % 3 == 0 else '\n' if i % 3 == 1 else '\r') for i, r in enumerate([HEAD] + rows)), truth())
half = len(raw) // 2
cut = raw.index(b'\n', half) + 1
put('card-nul-block.csv', raw[:cut] + b'\0' * 512 + raw[cut:], truth())
put('card-ff-block.csv', raw[:cut] + b'\xff' * 512 + b'\n' + raw[cut:], truth())
put('card-cut.csv', raw[:-9], truth(cols=(A[:-1] + [None], B[:-1] + [None], C[:-1] + [None])))
put('card-block-twice.csv', '\n'.join([HEAD] + rows[:40] + rows[30:40] + rows[40:]) + '\n', truth())
put('card-lines-swapped.csv', '\n'.join([HEAD] + rows[:20] + [rows[21], rows[20]] + rows[22:]) + '\n', truth())
put('card-every-line-twice.csv', HEAD + '\n' + ''.join(r + '\n' + r + '\n' for r in rows), truth())
put('card-prefix.csv', b'\x01\x02LOG\x00' + raw, truth())
put('card-bom-inside.csv', raw[:cut] + b'\xef\xbb\xbf' + raw[cut:], truth())
put('card-utf16.csv', plain.encode('utf-16-le'), truth())
put('card-utf16-bom.csv', plain.encode('utf-16'), truth())
put('card-dos.csv', plain.encode('cp437'), truth())
put('card-mac.csv', plain.replace('\n', '\r').encode('mac-roman'), truth())
put('card-ctrl-z.csv', raw + b'\x1a' + b'\0' * 300, truth())
put('card-column-lost.csv', '\n'.join([HEAD] + rows[:50] + [r.rsplit(',', 1)[0] for r in rows[50:]]) + '\n', truth(cols=(A, B, C[:50] + [None] * 22)))
put('card-delimiter-changes.csv', '\n'.join([HEAD] + rows[:36] + [r.replace(',', ';') for r in rows[36:]]) + '\n', truth())
put('card-decimal-changes.csv', '\n'.join([HEADS] + [r.replace(',', ';') for r in rows[:36]] + [r.replace(',', ';').replace('.', ',') for r in rows[36:]]) + '\n', truth())
put('card-blank-lines.csv', plain.replace('\n', '\n\n'), truth())
put('card-quote-open.csv', '\n'.join([HEAD] + rows[:30] + [rows[30].replace(',', ',"', 1)] + rows[31:]) + '\n', truth())
put('card-glued.csv', '\n'.join([HEAD] + rows[:30] + [rows[30][:-3] + rows[31]] + rows[32:]) + '\n', truth(cols=tuple(c[:30] + [None, None] + c[32:] for c in (A, B, C))))
put('card-bit-flips.csv', '\n'.join([HEAD] + [r.replace('1', 'q', 1) if i == 33 else r for i, r in enumerate(rows)]) + '\n', truth())
put('card-two-logs.csv', plain + '\n' + text('Time;rpm;speed (km/h)', iso, ';', lambda v: comma(v) if isinstance(v, float) else str(v), (R, S)), truth())

# --- phones ---------------------------------------------------------------------------
put('phone-dms.csv', 'Time,Latitude,Longitude\n' + '\n'.join('%s,"%s","%s"' % (zulu[i], *('%d°%02d\'%08.5f""%s' % (int(v), int(v % 1 * 60), v % 1 * 60 % 1 * 60, h) for v, h in ((LAT[i], 'N'), (LON[i], 'E')))) for i in range(N)) + '\n', place())
put('phone-pair.csv', 'Time,Position\n' + '\n'.join('%s,"%.6f, %.6f"' % (zulu[i], LAT[i], LON[i]) for i in range(N)) + '\n', place())
put('phone-e7.csv', 'timestampMs,latitudeE7,longitudeE7\n' + '\n'.join('%d,%d,%d' % (epoch(i) * 1000, round(LAT[i] * 1e7), round(LON[i] * 1e7)) for i in range(N)) + '\n', place('latitudee7', 'longitudee7'))
put('phone-micro.csv', 'time,lat_microdeg,lon_microdeg\n' + '\n'.join('%s,%d,%d' % (zulu[i], round(LAT[i] * 1e6), round(LON[i] * 1e6)) for i in range(N)) + '\n', place('lat', 'lon'))
put('phone-prefix.csv', 'Time,Lat,Lon\n' + '\n'.join('%s,N%.6f,E%.6f' % (zulu[i], LAT[i], LON[i]) for i in range(N)) + '\n', place('lat', 'lon'))
put('phone-swapped-names.csv', 'Time,lat,lon\n' + '\n'.join('%s,%.6f,%.6f' % (zulu[i], LON[i] + 100, LAT[i]) for i in range(N)) + '\n', truth(names=(), angle={'lat': LAT, 'lon': [x + 100 for x in LON]}))
put('phone-speed-bare.csv', 'Time,lat,lon,speed\n' + '\n'.join('%s,%.6f,%.6f,%.1f' % (zulu[i], LAT[i], LON[i], S[i]) for i in range(N)) + '\n', truth(names=(), speed={'speed': [s / 3.6 for s in S]}))
put('phone-speed-missing.csv', 'Time,lat,lon,speed (km/h)\n' + '\n'.join('%s,%.6f,%.6f,%s' % (zulu[i], LAT[i], LON[i], '-1' if i in (7, 8) else '%.1f' % S[i]) for i in range(N)) + '\n', truth(names=(), speed={'speed': [None if i in (7, 8) else s / 3.6 for i, s in enumerate(S)]}))
put('phone-no-fix.csv', 'Time,lat,lon\n' + '\n'.join('%s,%.6f,%.6f' % (zulu[i], 0 if i < 5 else LAT[i], 0 if i < 5 else LON[i]) for i in range(N)) + '\n', truth(names=(), angle={'lat': [None] * 5 + LAT[5:], 'lon': [None] * 5 + LON[5:]}))
put('phone-comma.csv', 'Zeit;Breite;Länge\n' + '\n'.join('%s;%s;%s' % (at(i).strftime('%d.%m.%Y %H:%M:%S'), str(LAT[i]).replace('.', ','), str(LON[i]).replace('.', ',')) for i in range(N)) + '\n', truth(names=(), angle={'breite': LAT, 'länge': LON}))

# --- workbooks --------------------------------------------------------------------------


def book(name, fill, want=None, old=False):
    w = openpyxl.Workbook()
    fill(w, w.active)
    b = io.BytesIO()
    w.save(b)
    put(name, b.getvalue(), want or truth())


def rows_into(s, stamp, head=('Time',) + NM, num=lambda v: v):
    s.append(list(head))
    for i in range(N):
        s.append([stamp(i)] + [num(c[i]) for c in (A, B, C)])


book('book-text-dates.xlsx', lambda w, s: rows_into(s, lambda i: at(i).strftime('%d.%m.%Y %H:%M:%S')))
book('book-text-comma.xlsx', lambda w, s: rows_into(s, at, num=comma))


def preamble(w, s):
    s['A1'], s['A2'], s['B2'] = 'Drive of the grey saloon', 'Logger', 'four channels'
    s.append([])
    rows_into(s, at)


book('book-preamble.xlsx', preamble)


def merged(w, s):
    s['A1'] = 'Time'
    s['B1'] = 'Temperatures (°C)'
    s.merge_cells('B1:D1')
    s.append([None, 'intake', 'bay', 'coolant'])
    for i in range(N):
        s.append([at(i), A[i], B[i], C[i]])


book('book-merged.xlsx', merged)


def of_1904(w, s):
    w.epoch = openpyxl.utils.datetime.CALENDAR_MAC_1904
    rows_into(s, at)


book('book-1904.xlsx', of_1904)
book('book-durations.xlsx', lambda w, s: rows_into(s, lambda i: timedelta(seconds=2 * i)), truth(False))
book('book-clock-only.xlsx', lambda w, s: rows_into(s, lambda i: at(i).time()), truth(False))


def split(w, s):
    s.append(['Date', 'Time'] + list(NM))
    for i in range(N):
        s.append([at(i).date(), at(i).time(), A[i], B[i], C[i]])


book('book-split.xlsx', split)


def hidden(w, s):
    rows_into(s, at)
    s.column_dimensions['C'].hidden = True
    for i in range(10, 20):
        s.row_dimensions[i].hidden = True


book('book-hidden.xlsx', hidden)


def below(w, s):
    rows_into(s, at)
    s.append(['Mean', '=AVERAGE(B2:B%d)' % (N + 1), '=AVERAGE(C2:C%d)' % (N + 1), '=AVERAGE(D2:D%d)' % (N + 1)])


book('book-mean-below.xlsx', below)


def beside(w, s):
    s.append(['Time'] + list(NM) + [None, 'Limit', 'Value'])
    for i in range(N):
        s.append([at(i), A[i], B[i], C[i]] + ([None, 'max %d' % i, 80 + i] if i < 4 else []))


book('book-beside.xlsx', beside)
old = xlwt.Workbook()
s = old.add_sheet('log')
style = xlwt.easyxf(num_format_str='D.M.YY H:MM:SS')
for k, n in enumerate(('Zeit',) + NM):
    s.write(0, k, n)
for i in range(N):
    s.write(i + 1, 0, at(i), style)
    for k, c in enumerate((A, B, C)):
        s.write(i + 1, k + 1, comma(c[i]) if k == 1 else c[i])
b = io.BytesIO()
old.save(b)
put('book-old-mixed.xls', b.getvalue(), truth())

# --- a second round ---------------------------------------------------------------------
fine = [.4 * i for i in range(N)]
put('again-frames.csv', text(HEAD, lambda i: '00:00:%02d:%02d' % divmod(10 * i, 25)), truth(False, t=fine))
put('again-decimal-minutes.csv', text(HEAD, lambda i: '16:%05.2f' % (42.15 + i / 30)), truth(False, t=[round((42.15 + i / 30), 2) * 60 - 42.15 * 60 for i in range(N)]))
put('again-day-fraction.csv', text(HEAD, lambda i: '%.8f' % ((at(i) - datetime(2025, 11, 18)).total_seconds() / 86400)), truth(False))
put('again-hhmmss-dmy8.csv', text('Date,Time,intake (°C),bay (°C),coolant (°C)', lambda i: at(i).strftime('%d%m%Y,%H%M%S')), truth())
put('again-hhmmss-ymd8.csv', text('Date,Time,intake (°C),bay (°C),coolant (°C)', lambda i: at(i).strftime('%Y%m%d,%H%M%S')), truth())
put('again-hhmmss-ymd6.csv', text('Date,Time,intake (°C),bay (°C),coolant (°C)', lambda i: at(i).strftime('%y%m%d,%H%M%S')), truth())
early = datetime(2025, 11, 18, 0, 5, 9)
put('again-hhmmss-unpadded.csv', text('Date,Time,intake (°C),bay (°C),coolant (°C)', lambda i: '20251118,%d' % int((early + timedelta(seconds=2 * i)).strftime('%H%M%S'))), truth(start=early))
put('again-second-of-day.csv', text(HEAD.replace('Time', 'Second of day'), lambda i: '%d' % (at(i) - datetime(2025, 11, 18)).total_seconds()), truth(False, t=[60129 + x for x in T]))
put('again-epoch-comma.csv', text(HEADS, lambda i: ('%.3f' % epoch(i)).replace('.', ','), ';', comma), truth())
put('again-units-apart.csv', text('Time,intake (°C),bay (°F),coolant (K)', iso, num=lambda v: v, cols=(['%.1f' % v for v in A], ['%.1f' % F(v) for v in B], ['%.2f' % (v + 273.15) for v in C])), truth())
put('again-numbered.csv', text('Time,1,2,3', iso), truth(names=('#2', '#3', '#4')))
put('again-angled.csv', text('Scan,Time,101 <C>,Alarm 101,102 <C>,Alarm 102,103 <C>,Alarm 103', lambda i: '%d,%s' % (i + 1, at(i).strftime('%m/%d/%Y %H:%M:%S:000')), num=lambda v: '%.1f,0' % v), truth(names=('#3', '#5', '#7')))
put('again-unit-cells.csv', text('Time,intake,,bay,,coolant,', iso, num=lambda v: '%.1f,°C' % v), truth())
put('again-mph.csv', 'Time,speed (mph)\n' + '\n'.join('%s,%.3f' % (iso(i), S[i] / 1.609344) for i in range(N)) + '\n', truth(names=(), speed={'speed': [x / 3.6 for x in S]}))
put('again-speed-text.csv', 'Time,speed\n' + '\n'.join('%s,%.1f km/h' % (iso(i), S[i]) for i in range(N)) + '\n', truth(names=(), speed={'speed': [x / 3.6 for x in S]}))
put('again-knots.csv', 'Time,SOG (kn)\n' + '\n'.join('%s,%.4f' % (iso(i), S[i] / 1.852) for i in range(N)) + '\n', truth(names=(), speed={'sog': [x / 3.6 for x in S]}))
put('again-ends-crcrlf.csv', plain.replace('\n', '\r\r\n'), truth())
put('again-fixed-width.txt', 'Date       Time       intake     bay coolant\n' + ''.join('%s %8.1f%8.1f%8.1f\n' % (iso(i), A[i], B[i], C[i]) for i in range(N)), truth(names=('intake', 'bay', 'coolant')))
cold = [round(v - 45, 1) for v in A]
put('again-fixed-touching.txt', 'Time                  intake    bay\n' + ''.join('%s  %5.1f%6.1f\n' % (iso(i), cold[i] - 60, cold[i] - 70) for i in range(N)), truth(names=('intake', 'bay'), cols=([round(v - 60, 1) for v in cold], [round(v - 70, 1) for v in cold])))
put('again-counter-first.csv', text('No.,Time,intake (°C),bay (°C),coolant (°C)', lambda i: '%d,%s' % (i + 1, iso(i))), truth())
put('again-end-mark.csv', plain + '--- end of log ---\nCRC 3F2A\n', truth())
put('again-crc-column.csv', HEAD + ',CRC\n' + '\n'.join('%s,%02X' % (r, (i * 37) % 256) for i, r in enumerate(rows)) + '\n', truth())
put('again-markdown.md.txt', '| Time | intake (°C) | bay (°C) | coolant (°C) |\n|---|---:|---:|---:|\n' + ''.join('| %s |\n' % r.replace(',', ' | ') for r in rows), truth())
put('again-box.txt', '+---------------------+-------+-------+-------+\n| Time                | intake (°C) | bay (°C) | coolant (°C) |\n+---------------------+-------+-------+-------+\n' + ''.join('| %s |\n' % r.replace(',', ' | ') for r in rows) + '+---------------------+-------+-------+-------+\n', truth())
put('again-two-members.csv.gz', gzip.compress(raw[:cut], mtime=0) + gzip.compress(raw[cut:], mtime=0), truth())
put('again-cut.csv.gz', gzip.compress(raw, mtime=0)[:700], truth())
ten = [.1 * i for i in range(N)]
put('again-ten-a-second.csv', text(HEAD, lambda i: (START + timedelta(seconds=.7 + .1 * i)).strftime('%Y-%m-%d %H:%M:%S')), truth(t=ten, start=START + timedelta(seconds=.7)))
put('again-xml-sheet.xls', '<?xml version="1.0"?>\n<?mso-application progid="Excel.Sheet"?>\n<Workbook xmlns="urn:schemas-microsoft-com:office:spreadsheet" xmlns:ss="urn:schemas-microsoft-com:office:spreadsheet"><Worksheet ss:Name="log"><Table>' + ''.join('<Row>%s</Row>' % ''.join('<Cell><Data ss:Type="String">%s</Data></Cell>' % c for c in r.split(',')) for r in [HEAD] + rows) + '</Table></Worksheet></Workbook>', truth())
put('again-sylk.slk', 'ID;PWXL;N;E\n' + ''.join('C;Y%d;X%d;K"%s"\n' % (y + 1, x + 1, c) for y, r in enumerate([HEAD] + rows) for x, c in enumerate(r.split(','))) + 'E\n', truth())
put('again-utc-and-local.csv', text('UTC,Local time,intake (°C),bay (°C),coolant (°C)', lambda i: '%s,%s' % (zulu[i], (at(i) + timedelta(hours=1)).strftime('%Y-%m-%d %H:%M:%S'))), truth())
put('again-local-and-utc.csv', text('Local time,UTC,intake (°C),bay (°C),coolant (°C)', lambda i: '%s,%s' % ((at(i) + timedelta(hours=1)).strftime('%Y-%m-%d %H:%M:%S'), zulu[i])), truth(start=START + timedelta(hours=1)))
put('again-west.csv', 'Time,lat,lon\n' + '\n'.join('%s,%.6f N,%.6f W' % (zulu[i], LAT[i], LON[i]) for i in range(N)) + '\n', truth(names=(), angle={'lat': LAT, 'lon': [-x for x in LON]}))
put('again-hemispheres.csv', 'Time,lat,N/S,lon,E/W\n' + '\n'.join('%s,%.6f,S,%.6f,W' % (zulu[i], LAT[i], LON[i]) for i in range(N)) + '\n', truth(names=(), angle={'lat': [-x for x in LAT], 'lon': [-x for x in LON]}))
put('again-ddmm.csv', 'Time,lat,lon\n' + '\n'.join('%s,%s,%s' % (zulu[i], '%d%07.4f' % (int(LAT[i]), LAT[i] % 1 * 60), '%d%07.4f' % (int(LON[i]), LON[i] % 1 * 60)) for i in range(N)) + '\n', truth(names=(), angle={'lat': LAT, 'lon': LON}))
put('again-rows-shuffled.csv', '\n'.join([HEAD] + random.sample(rows, N)) + '\n', truth())
put('again-inverted-rows.jsonl', '\n'.join(dump({'data': {'time': zulu[i], 'values': {'intake (°C)': A[i], 'bay (°C)': B[i]}}, 'id': i}) for i in range(N)), truth(names=('data.values.intake', 'data.values.bay'), cols=(A, B)))
put('again-strings.jsonl', '\n'.join(dump({'time': zulu[i], 'intake (°C)': str(A[i]), 'bay (°C)': comma(B[i])}) for i in range(N)), truth(names=('intake', 'bay'), cols=(A, B)))
put('again-nulls.json', dump({'time': zulu, 'intake (°C)': [None if i % 9 == 4 else v for i, v in enumerate(A)]}), truth(names=('intake',), cols=([None if i % 9 == 4 else v for i, v in enumerate(A)],)))
put('again-annotated.csv', '#datatype,string,long,dateTime:RFC3339,double,string\n,result,table,_time,_value,_field\n' + ''.join(',,0,%s,%.1f,intake\n' % (zulu[i], A[i]) for i in range(N)) + ''.join(',,1,%s,%.1f,bay\n' % (zulu[i], B[i]) for i in range(N)), truth(names=('intake', 'bay'), cols=(A, B)))
put('again-long-blocks.csv', 'sensor,time,temperature\n' + ''.join('%s,%s,%.1f\n' % (n, iso(i), c[i]) for n, c in (('intake', A), ('bay', B), ('coolant', C)) for i in range(N)), truth())
out.close()
