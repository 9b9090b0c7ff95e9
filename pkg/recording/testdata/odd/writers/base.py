"""Invents the drives that the writers of other languages write, and packs what
they wrote with what it means.

    python3 base.py make DIR        writes DIR/base.json and DIR/track-N.csv
    python3 base.py pack DIR ZIP    packs the files of DIR/out

all.sh runs both and the writers between them.
"""
import csv
import json
import math
import os
import random
import sys
import zipfile
from datetime import datetime, timedelta

START = datetime(2025, 10, 27, 6, 51, 13)


def drives():
    random.seed(20261127)
    all = []
    for k in range(8):
        step = [1, 2, 2, 5, 3, 10, 1, 2][k]
        n = 70 + 5 * k
        start = START + timedelta(days=3 * k, seconds=731 * k)
        d = {'start': start.isoformat() + 'Z', 'step': step, 't': [], 'stamp': [], 'a': [], 'b': [], 'c': [], 'lat': [], 'lon': [], 'ele': []}
        for i in range(n):
            u = i / n
            d['t'].append(i * step)
            d['stamp'].append((start + timedelta(seconds=i * step)).strftime('%Y-%m-%d %H:%M:%S'))
            d['a'].append(round(11 + 24 * u + random.gauss(0, .3), 1))
            d['b'].append(round(14 + 41 * math.sqrt(u) + random.gauss(0, .4), 1))
            d['c'].append(round(13 + 76 * math.sqrt(u) + random.gauss(0, .2), 1))
            d['lat'].append(round(46.5 + 1.3e-4 * step * i, 6))
            d['lon'].append(round(7.25 + 0.7e-4 * step * i, 6))
            d['ele'].append(round(410 + 20 * math.sin(6 * u), 1))
        if k % 3 == 1:
            d['b'][7] = None
        all.append(d)
    return all


def make(folder):
    os.makedirs(os.path.join(folder, 'out'), exist_ok=True)
    all = drives()
    with open(os.path.join(folder, 'base.json'), 'w') as f:
        json.dump(all, f)
    for k, d in enumerate(all):
        with open(os.path.join(folder, f'track-{k}.csv'), 'w', newline='') as f:
            w = csv.writer(f)
            w.writerow(['lat', 'lon', 'alt', 'date', 'time', 'fix', 'sat'])
            for i in range(len(d['t'])):
                date, clock = d['stamp'][i].split()
                w.writerow([d['lat'][i], d['lon'][i], d['ele'][i], date.replace('-', '/'), clock, '3d', 9])


def pack(folder, target):
    """A file is called TOOL-FORMAT-N[f].EXTENSION: N the drive, f for °F; names
    with "track" hold positions."""
    all = drives()
    with zipfile.ZipFile(target, 'w', zipfile.ZIP_DEFLATED) as out:
        for name in sorted(os.listdir(os.path.join(folder, 'out'))):
            d = all[int(name.split('.')[0].split('-')[2].rstrip('f'))]
            truth = {'start': d['start'], 'time': d['t']}
            if 'track' in name:
                truth['angle'] = {'latitude': d['lat'], 'longitude': d['lon']}
            else:
                first = 3 if name.startswith('sqljs') else 2  # behind an id
                truth['temperature'] = {f'#{first + i}': d[c] for i, c in enumerate('abc')}
            with open(os.path.join(folder, 'out', name), 'rb') as f:
                for n, data in ((name, f.read()), (name + '.truth', json.dumps(truth).encode())):
                    info = zipfile.ZipInfo(n, (2026, 11, 27, 0, 0, 0))
                    info.compress_type = zipfile.ZIP_DEFLATED
                    out.writestr(info, data)


if __name__ == '__main__':
    make(sys.argv[2]) if sys.argv[1] == 'make' else pack(sys.argv[2], sys.argv[3])
