"""Writes relatives.zip: relatives of the troubles that people bring, with
what they mean, by somebody who had not read the reader.

    python3 relatives.py relatives.zip     (Debian: python3-openpyxl python3-xlwt)

The drive is invented. Each file NAME has a NAME.truth as in write.py.
"""
import csv, io, json, math, random, sqlite3, struct, sys, tempfile, zipfile, os, gzip
from datetime import datetime, timedelta, timezone
import openpyxl, xlwt

random.seed(20261127)
N = 120
START = datetime(2025, 11, 13, 8, 15, 7)
out = zipfile.ZipFile(sys.argv[1], 'w', zipfile.ZIP_DEFLATED)
T = [2.0 * i for i in range(N)]
A, B, C = [], [], []
for i in range(N):
    u = i / N
    A.append(round(11 + 24 * u + random.gauss(0, .3), 1))
    B.append(round(14 + 41 * math.sqrt(u) + random.gauss(0, .4), 1))
    C.append(round(13 + 76 * math.sqrt(u) + random.gauss(0, .2), 1))
S = [round(max(0, 52 * math.sin(i / 9.0)), 1) for i in range(N)]  # km/h
R = [int(820 + 25 * s + random.gauss(0, 12)) for s in S]
NAMES = ['intake', 'bay', 'coolant']


def put(name, data, truth):
    if isinstance(data, str):
        data = data.encode()
    for n, d in ((name, data), (name + '.truth', json.dumps(truth).encode())):
        info = zipfile.ZipInfo(n, (2025, 12, 1, 0, 0, 0))
        info.compress_type = zipfile.ZIP_DEFLATED
        out.writestr(info, d)


def truth(dated=True, t=T, start=START, names=NAMES, cols=(A, B, C), zone=True, **more):
    d = {'start': start.isoformat() + 'Z' if dated else None, 'time': t,
         'temperature': dict(zip(names, cols))}
    d.update(more)
    return d


def f(v):
    return round(v * 1.8 + 32, 1)


def at(i, step=2.0):
    return START + timedelta(seconds=i * step)


def table(head, stamp, delim=',', num=lambda v: '%.1f' % v, cols=(A, B, C), end='\n', pre='', post='', n=N):
    rows = [delim.join([stamp(i)] + [num(c[i]) for c in cols]) for i in range(n)]
    return pre + head + end + end.join(rows) + end + post


iso = lambda i: at(i).strftime('%Y-%m-%d %H:%M:%S')
comma = lambda v: ('%.1f' % v).replace('.', ',')
HEAD = 'Time,intake (°C),bay (°C),coolant (°C)'
HEADS = 'Time;intake (°C);bay (°C);coolant (°C)'

# Units, as people write them behind a name.
for k, (u, g) in enumerate([('[degF]', f), ('/°C', None), ('_degC', None), (' in °C', None), (' - Celsius', None), (' deg. C', None),
                            (' (℃)', None), (' (℉)', f), (' [K]', lambda v: round(v + 273.15, 1)), (' (Kelvin)', lambda v: round(v + 273.15, 1)),
                            (' °F', f), ('_F', f), ('(F)', f), (' {C}', None), (' grados C', None), (' Grad Celsius', None), (' gradi C', None),
                            (' degrés C', None), (' (º C)', None), (' (˚F)', f), (' <°F>', f), (' oC', None), (' Deg F', f)]):
    head = 'Time,' + ','.join(n + u for n in NAMES)
    cols = [[(g or (lambda v: v))(v) for v in c] for c in (A, B, C)]
    if g is None or '[K]' in u or 'Kel' in u:
        t = truth(names=['#2', '#3', '#4'])
    else:
        t = truth(names=['#2', '#3', '#4'], cols=[[(v - 32) / 1.8 for v in c] for c in cols])
    put('unit-%02d.csv' % k, table(head, iso, cols=cols), t)
cF = [f(v) for v in C]
put('unit-mixed.csv', table('Time,intake °C,bay °C,coolant °F', iso, cols=(A, B, cF)), truth(names=['#2', '#3', '#4'], cols=(A, B, [(v - 32) / 1.8 for v in cF])))
put('unit-row.csv', table('Time;intake;bay;coolant\ns;°C;°C;°C', lambda i: '%.1f' % T[i], ';'), truth(False))
put('unit-row-blank.csv', table('Time;intake;bay;coolant\n;°F;°F;°F\n', iso, ';', cols=[[f(v) for v in c] for c in (A, B, C)]),
    truth(cols=[[(f(v) - 32) / 1.8 for v in c] for c in (A, B, C)]))
put('unit-cells.csv', table('Time,intake,bay,coolant', iso, num=lambda v: '%.1f °C' % v), truth())
put('unit-cells-F.csv', table('Time;intake;bay;coolant', iso, ';', num=lambda v: comma(f(v)) + 'F'), truth(cols=[[(f(v) - 32) / 1.8 for v in c] for c in (A, B, C)]))
put('unit-own-column.csv', 'Time,intake,unit,bay,unit,coolant,unit\n' + ''.join('%s,%.1f,C,%.1f,C,%.1f,C\n' % (iso(i), A[i], B[i], C[i]) for i in range(N)), truth())
put('unit-own-column-switch.csv', 'Time,intake,unit,bay,unit,coolant,unit\n' + ''.join(('%s,%.1f,C,%.1f,C,%.1f,C\n' if i < 70 else '%s,%.1f,F,%.1f,F,%.1f,F\n') %
    ((iso(i),) + tuple((v if i < 70 else f(v)) for v in (A[i], B[i], C[i]))) for i in range(N)), truth(cols=[[v if i < 70 else (f(v) - 32) / 1.8 for i, v in enumerate(c)] for c in (A, B, C)]))
put('unit-switch-silent.csv', 'Time,intake,bay,coolant\n' + ''.join('%s,%.1f,%.1f,%.1f\n' % ((iso(i),) + tuple((v if i < 70 else f(v)) for v in (A[i], B[i], C[i]))) for i in range(N)),
    truth(cols=[[v if i < 70 else (f(v) - 32) / 1.8 for i, v in enumerate(c)] for c in (A, B, C)]))
put('unit-switch-F-to-C.csv', 'Time,intake,bay,coolant\n' + ''.join('%s,%.1f,%.1f,%.1f\n' % ((iso(i),) + tuple((v if i >= 50 else f(v)) for v in (A[i], B[i], C[i]))) for i in range(N)),
    truth(cols=[[v if i >= 50 else (f(v) - 32) / 1.8 for i, v in enumerate(c)] for c in (A, B, C)]))
put('milli.csv', table('Time,intake_mC,bay_mC,coolant_mC', iso, num=lambda v: '%d' % round(v * 1000)), truth(names=['#2', '#3', '#4']))
put('tenths-head.csv', table('Time,intake (0.1 °C),bay (0.1 °C),coolant (0.1 °C)', iso, num=lambda v: '%d' % round(v * 10)), truth(names=['#2', '#3', '#4']))
put('hundredths.csv', table('Time,intake (°C*100),bay (°C*100),coolant (°C*100)', iso, num=lambda v: '%d' % round(v * 100)), truth(names=['#2', '#3', '#4']))
put('hundredths-bare.csv', table('Time,intake,bay,coolant', iso, num=lambda v: '%d' % round(v * 100)), truth())
put('tenths-bare.csv', table('Time,T1,T2,T3', iso, num=lambda v: '%d' % round(v * 10)), truth(names=['#2', '#3', '#4']))
put('kelvin-bare.csv', table('Time,T1,T2,T3', iso, num=lambda v: '%.2f' % (v + 273.15)), truth(names=['#2', '#3', '#4']))
for k, (u, g) in enumerate([('kn', 1 / 1.852), ('mph', 1 / 1.609344), ('m/s', 1 / 3.6), ('kph', 1), ('KMH', 1), ('mi/h', 1 / 1.609344), ('km/u', 1), ('knots', 1 / 1.852)]):
    put('speed-%d.csv' % k, 'Time,speed (%s),coolant (°C)\n' % u + ''.join('%s,%.4f,%.1f\n' % (iso(i), S[i] * g, C[i]) for i in range(N)),
        {'start': START.isoformat() + 'Z', 'time': T, 'temperature': {'#3': C}, 'speed': {'#2': [round(S[i] * g, 4) / g / 3.6 for i in range(N)]}})

# Dates.
MON = {'en': ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec']}
stamps = {
    'dots': lambda i: at(i).strftime('%Y.%m.%d %H:%M:%S'),
    'd-Mon-yy': lambda i: at(i).strftime('%d-Nov-%y %H:%M:%S'),
    'us-words': lambda i: '"%s"' % at(i).strftime('Nov %d, %Y %I:%M:%S AM'),
    'us-long': lambda i: '"%s"' % at(i).strftime('Thursday, November %d, %Y %I:%M:%S AM'),
    'french': lambda i: at(i).strftime('%d novembre %Y %H:%M:%S'),
    'german-word': lambda i: at(i).strftime('%d. Nov. %Y %H:%M:%S'),
    'basic': lambda i: at(i).strftime('%Y%m%dT%H%M%S'),
    'digits': lambda i: at(i).strftime('%Y%m%d%H%M%S'),
    'digits-ms': lambda i: at(i).strftime('%Y%m%d%H%M%S') + '250',
    'iso-comma-zone': lambda i: '"%s"' % at(i).strftime('%Y-%m-%dT%H:%M:%S,250+00:00'),
    'doy-slash': lambda i: at(i).strftime('%Y/%j %H:%M:%S'),
    'doy-dash': lambda i: at(i).strftime('%Y-%jT%H:%M:%S'),
    'doy-colon': lambda i: at(i).strftime('%Y:%j:%H:%M:%S'),
    'time-first': lambda i: at(i).strftime('%H:%M:%S %d/%m/%Y'),
    'chinese': lambda i: at(i).strftime('%Y年%m月%d日 %H时%M分%S秒'),
    'underscore': lambda i: at(i).strftime('%Y_%m_%d_%H_%M_%S'),
    'ctime': lambda i: at(i).strftime('Thu Nov %d %H:%M:%S %Y'),
    'rfc1123': lambda i: '"%s"' % at(i).strftime('Thu, %d Nov %Y %H:%M:%S GMT'),
    'sheet-days': lambda i: '%.7f' % ((at(i) - datetime(1899, 12, 30)).total_seconds() / 86400),
    'since-1904': lambda i: '%.3f' % (at(i) - datetime(1904, 1, 1)).total_seconds(),
    'year-zero': lambda i: '%.8f' % ((at(i) - datetime(1, 1, 1)).total_seconds() / 86400 + 367),
    'julian': lambda i: '%.7f' % ((at(i) - datetime(1970, 1, 1)).total_seconds() / 86400 + 2440587.5),
    'mjd': lambda i: '%.7f' % ((at(i) - datetime(1858, 11, 17)).total_seconds() / 86400),
    'ticks': lambda i: '%d' % ((at(i) - datetime(1, 1, 1)) // timedelta(microseconds=1) * 10),
    'filetime': lambda i: '%d' % ((at(i) - datetime(1601, 1, 1)) // timedelta(microseconds=1) * 10),
    'unix-us': lambda i: '%d' % ((at(i) - datetime(1970, 1, 1)) // timedelta(microseconds=1)),
    'unix-ns': lambda i: '%d' % ((at(i) - datetime(1970, 1, 1)) // timedelta(microseconds=1) * 1000),
    'unix-float': lambda i: '%.3f' % (at(i) - datetime(1970, 1, 1)).total_seconds(),
    'unix-e': lambda i: '%.9E' % (at(i) - datetime(1970, 1, 1)).total_seconds(),
    'z-space': lambda i: at(i).strftime('%Y-%m-%d %H:%M:%S UTC'),
    'hhmmss-dot': lambda i: at(i).strftime('%Y-%m-%d %H.%M.%S'),
    'h-letters': lambda i: at(i).strftime('%Y-%m-%d %Hh%Mm%Ss'),
    'colon-ms': lambda i: at(i).strftime('%Y-%m-%d %H:%M:%S') + ':250',
    'slash-ymd': lambda i: at(i).strftime('%y/%m/%d %H:%M:%S'),
    'dmy2': lambda i: at(i).strftime('%d.%m.%y %H:%M:%S'),
    'unpadded': lambda i: '%d-%d-%d %d:%d:%d' % at(i).timetuple()[:6],
    'am': lambda i: at(i).strftime('%d/%m/%Y %I:%M:%S') + ' a. m.',
    'am2': lambda i: at(i).strftime('%m/%d/%Y %I:%M:%SAM'),
    'bracket': lambda i: '[' + iso(i) + ']',
    'tz-name': lambda i: iso(i) + ' GMT',
    'iso-week': lambda i: '2025-W46-4T' + at(i).strftime('%H:%M:%S'),
}
for name, s in stamps.items():
    ms = timedelta(milliseconds=250) if name in ('digits-ms', 'iso-comma-zone', 'colon-ms') else timedelta(0)
    put('date-%s.csv' % name, table(HEAD, s), truth(start=START + ms, names=['#2', '#3', '#4']))
put('date-sheet-days-comma.csv', table(HEADS, lambda i: ('%.7f' % ((at(i) - datetime(1899, 12, 30)).total_seconds() / 86400)).replace('.', ','), ';', comma), truth(names=['#2', '#3', '#4']))
def split(name, head, row, start=START, cols=('#3', '#4', '#5')):
    put(name, head + '\n' + ''.join(row(i) + '\n' for i in range(N)), truth(start=start, names=cols))
v3 = lambda i: '%.1f,%.1f,%.1f' % (A[i], B[i], C[i])
split('date-two-columns-time-first.csv', 'Clock,Date,intake °C,bay °C,coolant °C', lambda i: at(i).strftime('%H:%M:%S,%d.%m.%Y,') + v3(i))
split('date-two-columns-hhmmss.csv', 'Date,Clock,intake °C,bay °C,coolant °C', lambda i: at(i).strftime('%d/%m/%y,%H%M%S,') + v3(i))
split('date-ddmmyy-digits.csv', 'Date,Time,intake °C,bay °C,coolant °C', lambda i: at(i).strftime('%d%m%y,%H%M%S,') + v3(i))
split('date-h-m-s.csv', 'Year,Month,Day,Hour,Minute,Second,intake °C,bay °C,coolant °C', lambda i: at(i).strftime('%Y,%m,%d,%H,%M,%S,') + v3(i), cols=('#7', '#8', '#9'))
split('date-year-doy.csv', 'Year,DOY,Seconds of day,intake °C,bay °C,coolant °C', lambda i: at(i).strftime('%Y,%j,') + '%d,' % (8 * 3600 + 15 * 60 + 7 + 2 * i) + v3(i), cols=('#4', '#5', '#6'))
split('date-date-ms.csv', 'Date,Time,Millisecond,intake °C,bay °C,coolant °C', lambda i: (START + timedelta(seconds=2 * i + .125)).strftime('%d-%m-%Y,%H:%M:%S,') + '125,' + v3(i), start=START + timedelta(milliseconds=125), cols=('#4', '#5', '#6'))
split('date-gps-week.csv', 'GPS Week,TOW (s),intake °C,bay °C,coolant °C', lambda i: '%d,%.3f,' % divmod((at(i) - datetime(1980, 1, 6)).total_seconds() + 18, 604800) + v3(i))
split('date-gps-week-ms.csv', 'gps_week;gps_tow_ms;intake °C;bay °C;coolant °C', lambda i: ('%d,%d,' % tuple(int(x) for x in divmod(((at(i) - datetime(1980, 1, 6)).total_seconds() + 18) * 1000, 604800000)) + v3(i)).replace(',', ';'))
split('date-first-row-only.csv', 'Date,Time,intake °C,bay °C,coolant °C', lambda i: ('13.11.2025' if i == 0 else '') + at(i).strftime(',%H:%M:%S,') + v3(i))
put('date-none-year.csv', table(HEAD, lambda i: at(i).strftime('%m-%d %H:%M:%S.250')), truth(False, names=['#2', '#3', '#4']))

# Epochs that a spreadsheet has rounded.
for k, fm in enumerate(['%.5E', '%.6E', '%.4E', '%.8E']):
    put('mangled-%d.csv' % k, table(HEAD, lambda i: fm % ((at(i) - datetime(1970, 1, 1)).total_seconds() * 1000)), truth(names=['#2', '#3', '#4']))
put('mangled-s.csv', table(HEADS, lambda i: ('%.5E' % (at(i) - datetime(1970, 1, 1)).total_seconds()).replace('.', ','), ';', comma), truth(names=['#2', '#3', '#4']))
put('mangled-digits.csv', table(HEAD, lambda i: '%.5E' % int(at(i).strftime('%Y%m%d%H%M%S'))), truth(names=['#2', '#3', '#4']))
put('mangled-mmss.csv', table(HEAD, lambda i: at(i).strftime('%M:%S.0')), truth(False, t=[907 + x for x in T], names=['#2', '#3', '#4']))
put('mangled-minute.csv', table(HEAD, lambda i: at(i).strftime('%d/%m/%Y %H:%M')), truth(names=['#2', '#3', '#4']))
put('minute-only-fast.csv', 'Time,intake (°C),bay (°C),coolant (°C)\n' + ''.join('%s,%s\n' % ((datetime(2025, 11, 13, 8, 15, 47) + timedelta(seconds=2 * i)).strftime('%Y-%m-%d %H:%M'), v3(i)) for i in range(N)),
    truth(start=datetime(2025, 11, 13, 8, 15, 47), names=['#2', '#3', '#4']))
put('epoch-thousands.csv', table(HEADS, lambda i: format(int((at(i) - datetime(1970, 1, 1)).total_seconds()), ',').replace(',', '.'), ';', comma), truth(names=['#2', '#3', '#4']))
put('second-stamps-half.csv', 'Time,intake (°C),bay (°C),coolant (°C)\n' + ''.join('%s,%s\n' % ((START + timedelta(seconds=i // 4)).strftime('%H:%M:%S'), v3(i)) for i in range(N)),
    truth(False, t=[i / 4 for i in range(N)], names=['#2', '#3', '#4']))
ums = [START + timedelta(milliseconds=x) for x in (lambda s: [sum(s[:i]) for i in range(N)])([random.choice([1993, 2004, 2011, 1987]) for _ in range(N)])]
put('unpadded-ms.csv', HEAD + '\n' + ''.join('%s.%d,%s\n' % (x.strftime('%Y-%m-%d %H:%M:%S'), x.microsecond // 1000, v3(i)) for i, x in enumerate(ums)),
    truth(t=[(x - START).total_seconds() for x in ums], names=['#2', '#3', '#4']))
put('unpadded-ms-colon.csv', HEAD + '\n' + ''.join('%s:%d,%s\n' % (x.strftime('%H:%M:%S'), x.microsecond // 1000, v3(i)) for i, x in enumerate(ums)),
    truth(False, t=[(x - START).total_seconds() for x in ums], names=['#2', '#3', '#4']))
put('unpadded-seconds.csv', HEAD + '\n' + ''.join('%d:%d:%d,%s\n' % (at(i).hour, at(i).minute, at(i).second, v3(i)) for i in range(N)), truth(False, names=['#2', '#3', '#4']))

# Times elapsed.
for name, head, s in [
    ('min', 'Time (min)', lambda i: '%.4f' % (T[i] / 60)), ('hours', 'Elapsed hours', lambda i: '%.6f' % (T[i] / 3600)),
    ('days', 'Elapsed (d)', lambda i: '%.8f' % (T[i] / 86400)), ('ms', 't/ms', lambda i: '%d' % (T[i] * 1000)),
    ('us', 'Time [µs]', lambda i: '%d' % (T[i] * 1e6)), ('ns', 'time_ns', lambda i: '%d' % (T[i] * 1e9)),
    ('hms', 'Elapsed', lambda i: '0h %02dm %02ds' % divmod(T[i], 60)), ('iso', 'Elapsed', lambda i: 'PT%dM%dS' % divmod(T[i], 60)),
    ('mmss', 'Elapsed', lambda i: '%02d:%04.1f' % divmod(T[i], 60)), ('beyond', 'Elapsed', lambda i: '%d:%02d:%02d' % (24 + (T[i] + 3500) // 3600, (T[i] + 3500) % 3600 // 60, T[i] % 60 if False else (T[i] + 3500) % 60)),
    ('dhms', 'Elapsed', lambda i: '0 days 00:%02d:%02d' % divmod(T[i], 60)), ('dhms2', 'Elapsed', lambda i: '0.00:%02d:%02d' % divmod(T[i], 60)),
    ('quotes', 'Elapsed', lambda i: "%d'%02d''" % divmod(T[i], 60)), ('ticks', 'Tick (10 ms)', lambda i: '%d' % (T[i] * 100)),
    ('zeit-min', 'Zeit in Minuten', lambda i: '%.4f' % (T[i] / 60)), ('temps-min', 'Temps écoulé (min)', lambda i: '%.4f' % (T[i] / 60)),
    ('tempo-ore', 'Tempo (ore)', lambda i: '%.6f' % (T[i] / 3600)), ('time-h', 'time_h', lambda i: '%.6f' % (T[i] / 3600)),
    ('std', 'Zeit [Std]', lambda i: '%.6f' % (T[i] / 3600)), ('tage', 'Tage', lambda i: '%.8f' % (T[i] / 86400)),
    ('bare', 't', lambda i: '%.1f' % T[i]), ('msec', 'msec', lambda i: '%d' % (T[i] * 1000)), ('millis', 'millis', lambda i: '%d' % (T[i] * 1000 + 5210)),
]:
    put('elapsed-%s.csv' % name, table(head + ',intake (°C),bay (°C),coolant (°C)', s), truth(False, t=[{'beyond': 89900, 'millis': 5.21}.get(name, 0) + x for x in T], names=['#2', '#3', '#4']))
mid = datetime(2025, 11, 13, 23, 58, 0)
put('midnight.csv', HEAD + '\n' + ''.join('%s,%s\n' % ((mid + timedelta(seconds=2 * i)).strftime('%H:%M:%S'), v3(i)) for i in range(N)), truth(False, names=['#2', '#3', '#4']))
put('midnight-12h.csv', HEAD + '\n' + ''.join('%s,%s\n' % ((mid + timedelta(seconds=2 * i)).strftime('%I:%M:%S %p'), v3(i)) for i in range(N)), truth(False, names=['#2', '#3', '#4']))
put('midnight-24.csv', HEAD + '\n' + ''.join('%s,%s\n' % ((mid + timedelta(seconds=2 * i)).strftime('%Y-%m-%d %H:%M:%S').replace('2025-11-14 00:00:00', '2025-11-13 24:00:00'), v3(i)) for i in range(N)), truth(start=mid, names=['#2', '#3', '#4']))
put('noon-12h-no-mark.csv', HEAD + '\n' + ''.join('%s,%s\n' % ((datetime(2025, 11, 13, 12, 58, 0) + timedelta(seconds=2 * i)).strftime('%Y-%m-%d %I:%M:%S'), v3(i)) for i in range(N)), truth(start=datetime(2025, 11, 13, 12, 58), names=['#2', '#3', '#4']))

# Index with what the preamble says.
for k, pre in enumerate(['Sample interval: 2 s\nStart: 2025-11-13 08:15:07\n', 'Start time;13.11.2025 08:15:07\nInterval;00:00:02\n', 'Logging rate: 0.5 Hz\nFirst sample: 2025/11/13 08:15:07\n',
                         'Startzeit: 13.11.2025 08:15:07\nMessintervall: 2000 ms\n', '# period = 2 seconds\n# began 2025-11-13T08:15:07\n', 'Intervalle: 2 s\nDébut: 13/11/2025 08:15:07\n']):
    d = ';' if ';' in pre else ','
    put('interval-%d.csv' % k, pre + '\n' + d.join(['No.', 'intake °C', 'bay °C', 'coolant °C']) + '\n' + ''.join(d.join([str(i + 1)] + ['%.1f' % c[i] for c in (A, B, C)]) + '\n' for i in range(N)), truth(names=['#2', '#3', '#4']))

# Lines, and what lies between them.
base = table(HEAD, iso)
lines = base.splitlines()
put('ends-mixed.csv', ''.join(l + random.choice(['\r\n', '\n', '\r']) for l in lines), truth(names=['#2', '#3', '#4']))
put('ends-crcrlf.csv', '\r\r\n'.join(lines) + '\r\r\n', truth(names=['#2', '#3', '#4']))
put('ends-lfcr.csv', '\n\r'.join(lines) + '\n\r', truth(names=['#2', '#3', '#4']))
put('ends-nel.csv', '\u0085'.join(lines), truth(names=['#2', '#3', '#4']))
put('ends-2028.csv', '\u2028'.join(lines), truth(names=['#2', '#3', '#4']))
put('ends-blank-between.csv', '\n\n'.join(lines), truth(names=['#2', '#3', '#4']))
put('ends-ctrl-z.csv', '\r\n'.join(lines) + '\r\n\x1a', truth(names=['#2', '#3', '#4']))
put('nul-between.csv', ('\n'.join(lines[:60]) + '\n' + '\0' * 512 + '\n'.join(lines[60:]) + '\n'), truth(names=['#2', '#3', '#4']))
put('nul-each.csv', '\0\n'.join(lines), truth(names=['#2', '#3', '#4']))
put('bom-middle.csv', ('\ufeff' + '\n'.join(lines[:60]) + '\n\ufeff' + lines[0] + '\n' + '\n'.join(lines[60:]) + '\n'), truth(names=['#2', '#3', '#4']))
put('utf16be-no-mark.csv', base.encode('utf-16-be'), truth(names=['#2', '#3', '#4']))
put('utf16le-no-mark.csv', base.encode('utf-16-le'), truth(names=['#2', '#3', '#4']))
put('utf32.csv', base.encode('utf-32'), truth(names=['#2', '#3', '#4']))
put('macroman.csv', table('Time,intake °C,bay °C,coolant °C', iso).encode('mac-roman'), truth(names=['#2', '#3', '#4']))
put('cp437.csv', table('Time,intake °C,bay °C,coolant °C', iso).encode('cp437'), truth(names=['#2', '#3', '#4']))
put('gbk.csv', table('时间,进气温度(℃),机舱温度(℃),水温(℃)', iso).encode('gbk'), truth(names=['#2', '#3', '#4']))
put('sjis.csv', table('日時,吸気温度(℃),外気温(℃),水温(℃)', iso).encode('shift-jis'), truth(names=['#2', '#3', '#4']))
put('double-encoded.csv', base.encode().decode('latin-1').encode(), truth(names=['#2', '#3', '#4']))
put('latin1-line.csv', (base + '# fin de journée\n').encode('latin-1'), truth(names=['#2', '#3', '#4']))

# Heads.
put('head-TTTT.csv', table('Time,T,T,T', iso), truth(names=['#2', '#3', '#4']))
put('head-TTTT-all.csv', table('T,T,T,T', lambda i: '%.1f' % T[i]), truth(False, names=['#2', '#3', '#4']))
put('head-temp-temp.csv', table('Temp,Temp,Temp,Temp', iso), truth(names=['#2', '#3', '#4']))
put('head-none.csv', '\n'.join(lines[1:]), truth(names=['#2', '#3', '#4']))
put('head-damaged.csv', lines[0][:17] + '\x00\x00\x03' + '\n' + '\n'.join(lines[1:]), truth(names=['#2', '#3', '#4']))
put('head-cut-row.csv', '4.2,55.1\n' + base, truth(names=['#2', '#3', '#4']))
put('head-short.csv', table('Time,intake (°C)', iso), truth(names=['#2', '#3', '#4']))
put('head-long.csv', table(HEAD + ',alarm,remark', iso), truth(names=['#2', '#3', '#4']))
put('head-trailing.csv', table(HEAD + ',', iso, num=lambda v: '%.1f' % v).replace('\n', ',\n'), truth(names=['#2', '#3', '#4']))
put('head-two-lines.csv', table('Clock,Probe 1,Probe 2,Probe 3\nTime,°C,°C,°C', iso), truth(names=['#2', '#3', '#4']))
put('head-groups.csv', table(',Temperatures,,\nTime,intake °C,bay °C,coolant °C', iso), truth(names=['#2', '#3', '#4']))
put('head-comment.csv', '#' + base, truth(names=['#2', '#3', '#4']))
put('head-data-mark.csv', '[SETTINGS]\nfilter,3\nchannels,3\n[DATA]\n' + base + '[END]\n', truth(names=['#2', '#3', '#4']))
put('head-repeated.csv', ''.join((lines[0] + '\n' if i % 20 == 0 else '') + l + '\n' for i, l in enumerate(lines[1:])), truth(names=['#2', '#3', '#4']))
put('head-markdown.md', '| Time | intake °C | bay °C | coolant °C |\n|---|---|---|---|\n' + ''.join('| %s | %.1f | %.1f | %.1f |\n' % (iso(i), A[i], B[i], C[i]) for i in range(N)), truth(names=['intake', 'bay', 'coolant']))
put('head-settings-table.csv', 'Channel,Type,Offset\n1,K,0.3\n2,K,-0.2\n3,K,0.0\n\n' + base, truth(names=['#2', '#3', '#4']))
put('head-statistics.csv', 'Statistics,intake (°C),bay (°C),coolant (°C)\nmin,%s\nmax,%s\n\n' % (','.join(str(min(c)) for c in (A, B, C)), ','.join(str(max(c)) for c in (A, B, C))) + base, truth(names=['#2', '#3', '#4']))
put('tail-totals.csv', base + 'Average,%.1f,%.1f,%.1f\nMaximum,%.1f,%.1f,%.1f\n' % (sum(A) / N, sum(B) / N, sum(C) / N, max(A), max(B), max(C)), truth(names=['#2', '#3', '#4']))
put('tail-cut.csv', base + '2025-11-13 08:19:07,3', truth(names=['#2', '#3', '#4']))
put('delimiter-differs.csv', 'Time;intake (°C);bay (°C);coolant (°C)\n' + '\n'.join(lines[1:]), truth(names=['#2', '#3', '#4']))
put('whole-quoted.csv', lines[0] + '\n' + ''.join('"%s"\n' % l for l in lines[1:]), truth(names=['#2', '#3', '#4']))
put('equals-quoted.csv', lines[0] + '\n' + ''.join(','.join('="%s"' % c for c in l.split(',')) + '\n' for l in lines[1:]), truth(names=['#2', '#3', '#4']))
put('single-quoted.csv', lines[0] + '\n' + ''.join(','.join("'%s'" % c for c in l.split(',')) + '\n' for l in lines[1:]), truth(names=['#2', '#3', '#4']))
put('sep-line.csv', 'sep=;\n' + table(HEADS, iso, ';', comma), truth(names=['#2', '#3', '#4']))
put('pipe.txt', table(HEAD.replace(',', '|'), iso, '|'), truth(names=['#2', '#3', '#4']))
put('colon-space.txt', 'Time,intake,bay,coolant\n' + ''.join('%s, %.1f, %.1f, %.1f\n' % (iso(i), A[i], B[i], C[i]) for i in range(N)), truth())
put('padded.txt', 'Time                 intake     bay  coolant\n' + ''.join('%s %8.1f %7.1f %8.1f\n' % (iso(i), A[i], B[i], C[i]) for i in range(N)), truth(names=['intake', 'bay', 'coolant']))
put('row-numbers.csv', '#,' + lines[0] + '\n' + ''.join('%d,%s\n' % (i + 1, l) for i, l in enumerate(lines[1:])), truth(names=['#3', '#4', '#5']))
put('row-comment.csv', lines[0] + ',remark\n' + ''.join(l + (',fan came on, loud' if i == 57 else ',') + '\n' for i, l in enumerate(lines[1:])), truth(names=['#2', '#3', '#4']))

# Columns that people's loggers add.
put('serial-first.csv', lines[0] + ',Serial Number\n' + lines[1] + ',88120041\n' + '\n'.join(lines[2:]) + '\n', truth(names=['#2', '#3', '#4']))
put('serial-first-front.csv', 'Serial,Owner,' + lines[0] + '\n88120041,me,' + lines[1] + '\n' + '\n'.join(',,' + l for l in lines[2:]) + '\n', truth(names=['#4', '#5', '#6']))
put('serial-first-short.csv', 'Time,intake (°C),bay (°C),coolant (°C),Serial,Model,Alarm\n' + lines[1] + ',88120041,X4,85.0\n' + '\n'.join(lines[2:]) + '\n', truth(names=['#2', '#3', '#4']))
put('status.csv', lines[0] + ',state\n' + ''.join(l + (',OK' if i % 17 else ',LOW BATT') + '\n' for i, l in enumerate(lines[1:])), truth(names=['#2', '#3', '#4']))
put('volts.csv', lines[0] + ',battery\n' + ''.join(l + ',%.2fV\n' % (3.9 - i / 500) for i, l in enumerate(lines[1:])), truth(names=['#2', '#3', '#4']))
def first(name, value, rows=1, col=1):
    ls = [l.split(',') for l in lines]
    for r in range(1, rows + 1):
        for c in ([col] if col else [1, 2, 3]):
            ls[r][c] = value
    cols = [list(x) for x in (A, B, C)]
    for r in range(rows):
        for c in ([col] if col else [1, 2, 3]):
            cols[c - 1][r] = None
    put('power-on-%s.csv' % name, '\n'.join(','.join(l) for l in ls) + '\n', truth(names=['#2', '#3', '#4'], cols=cols))
first('85', '85.0'); first('85-all', '85.0', 1, 0); first('127', '127.9'); first('minus127', '-127.0'); first('zero-all', '0.0', 1, 0); first('85-3rows', '85.0', 3, 0)
first('minus-0.1', '-0.1', 1, 0) if False else None
def inside(name, text, every=23, col=2):
    ls = [l.split(',') for l in lines]
    cols = [list(x) for x in (A, B, C)]
    for r in range(5, N, every):
        ls[r + 1][col] = text
        cols[col - 1][r] = None
    put('no-reading-%s.csv' % name, '\n'.join(','.join(l) for l in ls) + '\n', truth(names=['#2', '#3', '#4'], cols=cols))
for name, text in [('1300', '>1300'), ('lt', '<-200'), ('ol', 'OL'), ('over', 'OVER'), ('qnan', '1.#QNAN'), ('ind', '-1.#IND'), ('inf', 'inf'), ('na', '#N/A'), ('value', '#VALUE!'), ('dash', '-'), ('dashes', '--.-'), ('err', 'Err'),
                   ('open', 'OPEN'), ('no', 'n/c'), ('star', '****'), ('1372', '1372.0'), ('1023.75', '1023.75'), ('2047.75', '2047.75'), ('32767', '32767'), ('3276.7', '3276.7'), ('-3276.8', '-3276.8'), ('-242.02', '-242.02'), ('6553.5', '6553.5'), ('9999.9', '9999.9'),
                   ('-127', '-127.00'), ('-999', '-999.0'), ('-9999', '-9999'), ('1e38', '1.0E+38'), ('9.9e37', '+9.90000000E+37'), ('burnout', 'Burn Out'), ('null', 'NULL'), ('none', 'None'), ('question', '???'), ('0', '0.0'), ('-273.15', '-273.15'), ('850', '850.0'), ('85', '85.0'), ('-50', '-50.0')]:
    inside(name, text)

# Numbers.
put('number-tab-comma.txt', table(HEAD.replace(',', '\t'), iso, '\t', comma), truth(names=['#2', '#3', '#4']))
put('number-space-comma.txt', table('Time intake bay coolant', lambda i: '%.1f' % T[i], ' ', comma).replace('.', ','), truth(False))
put('number-thousands-rpm.csv', 'Time;rpm;coolant °C\n' + ''.join('%s;%s;%s\n' % (iso(i), format(R[i], ',').replace(',', '.'), comma(C[i])) for i in range(N)), truth(names=['#3'], cols=[C]))
put('number-apostrophe.csv', "Time;rpm;coolant °C\n" + ''.join("%s;%s;%.1f\n" % (iso(i), format(R[i], ',').replace(',', "'"), C[i]) for i in range(N)), truth(names=['#3'], cols=[C]))
cold = [round(v - 30, 1) for v in A]
put('number-minus.csv', table(HEAD, iso, num=lambda v: ('%.1f' % v).replace('-', '−'), cols=(cold, B, C)), truth(names=['#2', '#3', '#4'], cols=(cold, B, C)))
put('number-parens.csv', table(HEAD, iso, num=lambda v: '%.1f' % v if v >= 0 else '(%.1f)' % -v, cols=(cold, B, C)), truth(names=['#2', '#3', '#4'], cols=(cold, B, C)))
put('number-trailing-minus.csv', table(HEAD, iso, num=lambda v: '%.1f' % v if v >= 0 else '%.1f-' % -v, cols=(cold, B, C)), truth(names=['#2', '#3', '#4'], cols=(cold, B, C)))
put('number-plus.csv', table(HEAD, iso, num=lambda v: '%+08.2f' % v), truth(names=['#2', '#3', '#4']))
put('number-exp.csv', table(HEAD, iso, num=lambda v: '%.3E' % v), truth(names=['#2', '#3', '#4']))
put('number-exp-comma.csv', table(HEADS, iso, ';', num=lambda v: ('%.3E' % v).replace('.', ',')), truth(names=['#2', '#3', '#4']))
put('number-middot.csv', table(HEAD, iso, num=lambda v: ('%.1f' % v).replace('.', '·')), truth(names=['#2', '#3', '#4']))
put('number-no-zero.csv', table(HEAD, iso, num=lambda v: ('%.1f' % v).replace('-0.', '-.') if abs(v) >= 1 else ('%.1f' % v).replace('0.', '.'), cols=(cold, B, C)), truth(names=['#2', '#3', '#4'], cols=(cold, B, C)))
put('number-fullwidth.csv', table(HEAD, iso, num=lambda v: ('%.1f' % v).translate({ord(c): ord(c) - 0x30 + 0xff10 for c in '0123456789'})), truth(names=['#2', '#3', '#4']))
put('number-nbsp.csv', table(HEADS, iso, ';', num=lambda v: '\u00a0' + comma(v) + '\u202f'), truth(names=['#2', '#3', '#4']))
put('number-decimal-switch.csv', lines[0].replace(',', ';') + '\n' + ''.join(';'.join([iso(i)] + [('%.1f' % c[i]) if i < 60 else comma(c[i]) for c in (A, B, C)]) + '\n' for i in range(N)), truth(names=['#2', '#3', '#4']))
put('number-dates-in-cells.csv', HEADS + '\n' + ''.join(';'.join([iso(i)] + [('%d. %s' % (c[i], ['Jan', 'Feb', 'Mrz', 'Apr', 'Mai', 'Jun', 'Jul', 'Aug', 'Sep'][round(c[i] * 10) % 10 - 1]) if c[i] < 31 and round(c[i] * 10) % 10 else comma(c[i])) for c in (A, B, C)]) + '\n' for i in range(N)), truth(names=['#2', '#3', '#4']))

# Sessions.
def sessions(name, second_head, second_row, gap=1800, cols2=(A, B, C), first_end=60, names=('intake', 'bay', 'coolant')):
    t = [T[i] if i < first_end else T[i] + gap for i in range(N)]
    when = lambda i: (START + timedelta(seconds=t[i])).strftime('%Y-%m-%d %H:%M:%S')
    put(name, 'Time,intake (°C),bay (°C),coolant (°C)\n' + ''.join('%s,%s\n' % (when(i), v3(i)) for i in range(first_end)) + second_head + ''.join(second_row(i, when(i)) for i in range(first_end, N)), truth(t=t, names=['intake', 'bay', 'coolant'], cols=cols2))
sessions('session-swapped.csv', '\nTime,coolant (°C),intake (°C),bay (°C)\n', lambda i, w: '%s,%.1f,%.1f,%.1f\n' % (w, C[i], A[i], B[i]))
sessions('session-swapped-no-blank.csv', 'Time,coolant (°C),intake (°C),bay (°C)\n', lambda i, w: '%s,%.1f,%.1f,%.1f\n' % (w, C[i], A[i], B[i]))
sessions('session-time-last.csv', 'intake (°C),bay (°C),coolant (°C),Time\n', lambda i, w: '%.1f,%.1f,%.1f,%s\n' % (A[i], B[i], C[i], w))
sessions('session-fahrenheit.csv', 'Time,intake (°F),bay (°F),coolant (°F)\n', lambda i, w: '%s,%.1f,%.1f,%.1f\n' % (w, f(A[i]), f(B[i]), f(C[i])), cols2=[[v if i < 60 else (f(v) - 32) / 1.8 for i, v in enumerate(c)] for c in (A, B, C)])
sessions('session-fewer.csv', 'Time,intake (°C),coolant (°C)\n', lambda i, w: '%s,%.1f,%.1f\n' % (w, A[i], C[i]), cols2=(A, [v if i < 60 else None for i, v in enumerate(B)], C))
sessions('session-other-delimiter.csv', 'Time;intake (°C);bay (°C);coolant (°C)\n', lambda i, w: '%s;%s;%s;%s\n' % (w, comma(A[i]), comma(B[i]), comma(C[i])))
sessions('session-other-stamp.csv', 'Time,intake (°C),bay (°C),coolant (°C)\n', lambda i, w: '%s,%s\n' % (datetime.fromisoformat(w).strftime('%d.%m.%Y %H:%M:%S'), v3(i)))
sessions('session-no-head.csv', '', lambda i, w: '%s,%s\n' % (w, v3(i)))
sessions('session-preamble.csv', '\nLogger restarted\nChannels: 3\nTime,intake (°C),bay (°C),coolant (°C)\n', lambda i, w: '%s,%s\n' % (w, v3(i)))
sessions('session-more.csv', 'Time,intake (°C),oil (°C),bay (°C),coolant (°C)\n', lambda i, w: '%s,%.1f,%.1f,%.1f,%.1f\n' % (w, A[i], 40.0 + i / 9, B[i], C[i]))

# Long formats and lines of key and value.
put('long-id.csv', 'time;channel;value\n' + ''.join('%s;%d;%.1f\n' % (iso(i), k + 1, c[i]) for i in range(N) for k, c in enumerate((A, B, C))), truth(names=['1', '2', '3']))
put('long-name-unit.csv', 'time,sensor,unit,value\n' + ''.join('%s,%s,degC,%.1f\n' % (iso(i), NAMES[k], c[i]) for i in range(N) for k, c in enumerate((A, B, C))), truth())
put('long-blocks.csv', 'sensor,time,value\n' + ''.join('%s,%s,%.1f\n' % (NAMES[k], iso(i), c[i]) for k, c in enumerate((A, B, C)) for i in range(N)), truth())
put('long-fahrenheit-one.csv', 'time,sensor,value,unit\n' + ''.join('%s,%s,%.1f,%s\n' % (iso(i), NAMES[k], f(c[i]) if k == 2 else c[i], '°F' if k == 2 else '°C') for i in range(N) for k, c in enumerate((A, B, C))), truth(cols=(A, B, [(f(v) - 32) / 1.8 for v in C])))
put('key-value.log', ''.join('%s intake=%.1f bay=%.1f coolant=%.1f\n' % (iso(i), A[i], B[i], C[i]) for i in range(N)), truth())
put('key-value-colon.log', ''.join('%s intake:%.1fC, bay:%.1fC, coolant:%.1fC\n' % (iso(i), A[i], B[i], C[i]) for i in range(N)), truth())
put('syslog.log', ''.join('%s INFO logger: intake=%.1f C bay=%.1f C coolant=%.1f C\n' % (iso(i), A[i], B[i], C[i]) for i in range(N)), truth())
put('line-protocol.txt', ''.join('temp,car=old intake=%.1f,bay=%.1f,coolant=%.1f %d\n' % (A[i], B[i], C[i], (at(i) - datetime(1970, 1, 1)) // timedelta(microseconds=1) * 1000) for i in range(N)), truth())
put('json-columns.json', json.dumps({'time': [iso(i) for i in range(N)], 'intake': A, 'bay': B, 'coolant': C}), truth())
put('json-nested.jsonl', ''.join(json.dumps({'ts': at(i).isoformat() + 'Z', 'values': {'intake': A[i], 'bay': B[i], 'coolant': C[i]}}) + '\n' for i in range(N)), truth(names=['values.intake', 'values.bay', 'values.coolant']))
put('json-list.jsonl', ''.join(json.dumps({'t': (at(i) - datetime(1970, 1, 1)).total_seconds() * 1000, 'temps': [A[i], B[i], C[i]]}) + '\n' for i in range(N)), truth(names=['#2', '#3', '#4']))
put('json-rows.json', json.dumps([['time', 'intake', 'bay', 'coolant']] + [[iso(i), A[i], B[i], C[i]] for i in range(N)]), truth())
put('json-strings.json', json.dumps([{'time': iso(i), 'intake': '%.1f °C' % A[i], 'bay': '%.1f °C' % B[i], 'coolant': '%.1f °C' % C[i]} for i in range(N)]), truth())
put('json-null.json', json.dumps({'log': {'device': 'x', 'data': [{'time': iso(i), 'intake': None if i % 40 == 7 else A[i], 'bay': B[i], 'coolant': C[i]} for i in range(N)]}}), truth(cols=([None if i % 40 == 7 else v for i, v in enumerate(A)], B, C)))

# Workbooks.
def book(fn):
    wb = openpyxl.Workbook()
    fn(wb)
    b = io.BytesIO()
    wb.save(b)
    return b.getvalue()
def rows(ws, head, stamp, cols=(A, B, C), fmt=None, base=0):
    for h in head if isinstance(head[0], list) else [head]:
        ws.append(h)
    for i in range(N):
        s = stamp(i)
        ws.append((s if isinstance(s, list) else [s]) + [c[i] for c in cols])
        if fmt:
            ws.cell(ws.max_row, 1).number_format = fmt
H = ['Time', 'intake °C', 'bay °C', 'coolant °C']
def b1904(wb):
    wb.epoch = openpyxl.utils.datetime.MAC_EPOCH
    rows(wb.active, H, at)
put('book-1904.xlsx', book(b1904), truth(names=['#2', '#3', '#4']))
put('book-split.xlsx', book(lambda wb: rows(wb.active, ['Date', 'Time'] + H[1:], lambda i: [at(i).date(), at(i).time()])), truth(names=['#3', '#4', '#5']))
put('book-duration.xlsx', book(lambda wb: rows(wb.active, H, lambda i: timedelta(seconds=T[i]))), truth(False, names=['#2', '#3', '#4']))
put('book-text.xlsx', book(lambda wb: rows(wb.active, H, iso, cols=[[comma(v) for v in c] for c in (A, B, C)])), truth(names=['#2', '#3', '#4']))
put('book-minute-format.xlsx', book(lambda wb: rows(wb.active, H, at, fmt='dd/mm/yyyy hh:mm')), truth(names=['#2', '#3', '#4']))
put('book-general.xlsx', book(lambda wb: rows(wb.active, H, lambda i: (at(i) - datetime(1899, 12, 30)).total_seconds() / 86400, fmt='General')), truth(names=['#2', '#3', '#4']))
def second(wb):
    wb.active.title = 'Info'
    wb.active.append(['Logger', 'X4'])
    wb.active.append(['Owner', 'me'])
    rows(wb.create_sheet('Data'), H, at)
put('book-second-sheet.xlsx', book(second), truth(names=['#2', '#3', '#4']))
def merged(wb):
    ws = wb.active
    rows(ws, [['', 'Temperatures', None, None], H], at)
    ws.merge_cells('B1:D1')
put('book-merged.xlsx', book(merged), truth(names=['#2', '#3', '#4']))
def offset(wb):
    ws = wb.active
    for k, h in enumerate(H):
        ws.cell(5, 3 + k, h)
    for i in range(N):
        ws.cell(6 + i, 3, at(i))
        for k, c in enumerate((A, B, C)):
            ws.cell(6 + i, 4 + k, c[i])
put('book-offset.xlsx', book(offset), truth(names=['intake', 'bay', 'coolant']))
def errors(wb):
    rows(wb.active, H, at, cols=([('#DIV/0!' if i % 40 == 3 else v) for i, v in enumerate(A)], B, C))
put('book-errors.xlsx', book(errors), truth(names=['#2', '#3', '#4'], cols=([None if i % 40 == 3 else v for i, v in enumerate(A)], B, C)))
def three(wb):
    for s in range(3):
        ws = wb.active if s == 0 else wb.create_sheet()
        ws.title = 'Session %d' % (s + 1)
        ws.append(H)
        for i in range(40 * s, 40 * s + 40):
            ws.append([at(i) + timedelta(seconds=1800 * s), A[i], B[i], C[i]])
put('book-three-sheets.xlsx', book(three), truth(names=['#2', '#3', '#4'], t=[T[i] + 1800 * (i // 40) for i in range(N)]))
def sideways(wb):
    ws = wb.active
    ws.append(['Time'] + [at(i) for i in range(N)])
    for n, c in zip(H[1:], (A, B, C)):
        ws.append([n] + c)
put('book-sideways.xlsx', book(sideways), truth(names=['#2', '#3', '#4']))
w = xlwt.Workbook(); ws = w.add_sheet('x')
style = xlwt.easyxf(num_format_str='HH:MM:SS')
for k, h in enumerate(H):
    ws.write(0, k, h)
for i in range(N):
    ws.write(i + 1, 0, at(i).time(), style)
    for k, c in enumerate((A, B, C)):
        ws.write(i + 1, k + 1, c[i])
b = io.BytesIO(); w.save(b)
put('book-times.xls', b.getvalue(), truth(False, names=['#2', '#3', '#4']))

# Databases.
def db(fn):
    d = tempfile.mkdtemp(); p = os.path.join(d, 'x.db')
    c = sqlite3.connect(p); fn(c); c.commit(); c.close()
    return open(p, 'rb').read()
def d1(c):
    c.execute('create table log(time text primary key, intake, bay, coolant) without rowid')
    c.executemany('insert into log values(?,?,?,?)', [(iso(i), A[i], B[i], C[i]) for i in range(N)])
put('db-without-rowid.sqlite', db(d1), truth())
def d2(c):
    c.execute('pragma encoding="UTF-16le"')
    c.execute('create table log(time text, intake text, bay text, coolant text)')
    c.executemany('insert into log values(?,?,?,?)', [(iso(i), str(A[i]), str(B[i]), str(C[i])) for i in range(N)])
put('db-utf16.sqlite', db(d2), truth())
def d3(c):
    c.execute('create table readings(ts integer, sensor integer, value real)')
    c.execute('create table sensors(id integer primary key, name text)')
    c.executemany('insert into sensors values(?,?)', [(1, 'intake'), (2, 'bay'), (3, 'coolant')])
    c.executemany('insert into readings values(?,?,?)', [((at(i) - datetime(1970, 1, 1)) // timedelta(milliseconds=1), k + 1, v[i]) for i in range(N) for k, v in enumerate((A, B, C))])
put('db-long.sqlite', db(d3), truth(names=['1', '2', '3']))
def d4(c):
    c.execute('create table log(time integer, intake real, bay real)')
    c.executemany('insert into log values(?,?,?)', [((at(i) - datetime(1970, 1, 1)).total_seconds(), A[i], B[i]) for i in range(60)])
    c.execute('alter table log add column coolant real')
    c.executemany('insert into log values(?,?,?,?)', [((at(i) - datetime(1970, 1, 1)).total_seconds(), A[i], B[i], C[i]) for i in range(60, N)])
put('db-added-column.sqlite', db(d4), truth(cols=(A, B, [None if i < 60 else v for i, v in enumerate(C)])))
def d5(c):
    c.execute('create table log(time integer, intake real, bay real, coolant real)')
    c.executemany('insert into log values(?,?,?,?)', [((at(i) - datetime(1970, 1, 1)).total_seconds(), A[i], B[i], C[i]) for i in range(N)])
    c.execute('delete from log where rowid in (20, 21)')
put('db-deleted.sqlite', db(d5), truth(t=[T[i] for i in range(N) if i not in (19, 20)], cols=[[c[i] for i in range(N) if i not in (19, 20)] for c in (A, B, C)]))

# Packed.
put('packed.csv.gz', gzip.compress(base.encode(), mtime=0), truth(names=['#2', '#3', '#4']))
put('packed-twice.csv.gz', gzip.compress(gzip.compress(base.encode(), mtime=0), mtime=0), truth(names=['#2', '#3', '#4']))
def zipped(*files):
    b = io.BytesIO()
    with zipfile.ZipFile(b, 'w', zipfile.ZIP_DEFLATED) as z:
        for n, d in files:
            z.writestr(zipfile.ZipInfo(n, (2025, 12, 1, 0, 0, 0)), d)
    return b.getvalue()
put('packed.zip', zipped(('x.csv', base)), truth(names=['#2', '#3', '#4']))
put('packed-nested.zip', zipped(('inner.zip', zipped(('x.csv', base)))), truth(names=['#2', '#3', '#4']))
put('packed-gz.zip', zipped(('x.csv.gz', gzip.compress(base.encode(), mtime=0))), truth(names=['#2', '#3', '#4']))
put('packed-two-members.csv.gz', gzip.compress('\n'.join(lines[:60]).encode() + b'\n', mtime=0) + gzip.compress('\n'.join(lines[60:]).encode() + b'\n', mtime=0), truth(names=['#2', '#3', '#4']))

# Rows out of order, twice, newest first.
put('order-reversed.csv', lines[0] + '\n' + '\n'.join(reversed(lines[1:])) + '\n', truth(names=['#2', '#3', '#4']))
put('order-twice.csv', lines[0] + '\n' + '\n'.join(l for l in lines[1:] for _ in range(2)) + '\n', truth(names=['#2', '#3', '#4']))
sh = lines[1:]; sh[30], sh[31] = sh[31], sh[30]
put('order-swapped.csv', lines[0] + '\n' + '\n'.join(sh) + '\n', truth(names=['#2', '#3', '#4']))
put('constant.csv', table(HEAD, iso, cols=([20.0] * N, B, C)), truth(names=['#2', '#3', '#4'], cols=([20.0] * N, B, C)))
put('shifted-rows.csv', HEAD + '\n' + ''.join('%s,%s\n' % (iso(i), v3(i) if i % 30 != 11 else '%.1f,%.1f' % (B[i], C[i])) for i in range(N)), truth(names=['#2', '#3', '#4'], cols=[[None if i % 30 == 11 else v for i, v in enumerate(A)], B, C]))
geo = {'type': 'Feature', 'properties': {'coordTimes': [at(i).isoformat() + 'Z' for i in range(N)]}, 'geometry': {'type': 'LineString', 'coordinates': [[8.5 + i * 1e-4, 47.2 + i * 2e-4, 400 + i] for i in range(N)]}}
put('track.geojson', json.dumps(geo), {'start': START.isoformat() + 'Z', 'time': T, 'angle': {'longitude': [8.5 + i * 1e-4 for i in range(N)], 'latitude': [47.2 + i * 2e-4 for i in range(N)]}})
out.close()
print(len(out.namelist()) // 2, 'files')
