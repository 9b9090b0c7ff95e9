#!/bin/sh
# Has libraries and converters of other languages write the invented drives, and
# packs what they wrote: sh all.sh ZIP. Wants what the writers name, gpsbabel and
# gdal-bin of Debian, and the three packages of write.mjs in the folder from which
# it is called.
set -e
here=$(dirname "$0")
dir=$(mktemp -d)
python3 "$here/base.py" make "$dir"
perl "$here/write.pl" "$dir"
node "$here/write.mjs" "$dir"
Rscript "$here/write.R" "$dir"
ruby "$here/write.rb" "$dir"
for k in 0 1 2 3; do
  gpsbabel -t -i unicsv,utc=0 -f "$dir/track-$k.csv" -x transform,trk=wpt -o gpx -F "$dir/out/gpsbabel-track_gpx-$k.gpx"
  gpsbabel -t -i unicsv,utc=0 -f "$dir/track-$k.csv" -x transform,trk=wpt -o kml,track=1,points=0 -F "$dir/out/gpsbabel-track_kml-$k.kml"
  gpsbabel -t -i unicsv,utc=0 -f "$dir/track-$k.csv" -x transform,trk=wpt -o nmea,gpgsa=0,gpvtg=0 -F "$dir/out/gpsbabel-track_nmea-$k.nmea"
  gpsbabel -t -i unicsv,utc=0 -f "$dir/track-$k.csv" -x transform,trk=wpt -o unicsv,utc=0 -F "$dir/out/gpsbabel-track_csv-$k.csv"
  ogr2ogr -f GPX "$dir/out/gdal-track_gpx-$k.gpx" "$dir/out/gpsbabel-track_gpx-$k.gpx" track_points -nln track_points -dsco GPX_USE_EXTENSIONS=YES
done
python3 "$here/base.py" pack "$dir" "$1"
rm -r "$dir"
