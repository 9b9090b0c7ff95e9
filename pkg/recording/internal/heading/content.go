// Package heading knows what the names of columns say about them: what a
// column holds, and in which unit.
package heading

import (
	"regexp"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/internal/place"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// contentWords says what a column holds if its name has one of the words. The
// first entry that matches wins, so the more telling ones come first.
var contentWords = []struct {
	content layout.Content
	words   []string
}{
	{layout.HoldsNumber, []string{"accuracy", "genauigkeit", "précision", "precisión", "precisione", "sats", "satellites", "hdop", "vdop", "pdop", "index", "count"}},
	{layout.HoldsLatitude, []string{"lat", "latitude", "breite", "breitengrad", "纬度", "緯度"}},
	{layout.HoldsLongitude, []string{"lon", "lng", "long", "longitude", "länge", "längengrad", "经度", "経度"}},
	{layout.HoldsRotation, []string{"rpm", "revs", "drehzahl", "tach"}},
	{layout.HoldsHumidity, []string{"humidity", "humid", "rh", "feuchte", "湿度"}},
	{layout.HoldsPressure, []string{"pressure", "baro", "barometer", "barometric", "pres", "luftdruck", "druck", "气压", "気圧"}},
	{layout.HoldsTemperature, []string{"temp", "temperature", "temperatur", "température", "temperatura", "temps", "coolant", "ambient", "thermocouple", "tc", "celsius", "fahrenheit", "ect", "iat", "温度", "溫度", "气温", "気温", "水温", "油温", "进气温度", "吸気温度", "環境温度", "环境温度"}},
	{layout.HoldsSpeed, []string{"speed", "velocity", "geschwindigkeit", "vitesse", "velocidad", "velocità", "vel", "sog", "速度", "车速", "車速"}},
	{layout.HoldsLength, []string{"alt", "altitude", "altitud", "altitudine", "ele", "elevation", "height", "höhe", "distance", "dist"}},
	{layout.HoldsAngle, []string{"course", "heading", "bearing", "direction", "cog"}},
	{layout.HoldsVoltage, []string{"volt", "voltage", "voltage", "vbat", "battery"}},
	{layout.HoldsAccel, []string{"acceleration", "accel"}},
}

// channelName matches what loggers call their temperature inputs when they
// write nothing else: T1, CH 2, Chan 101, K3, Sensor 5, Probe 1.
var channelName = regexp.MustCompile(`^(?i)(t|ch|chan|channel|kanal|k|tc|sensor|probe|input|temp)[ _.-]?0*[0-9]{1,3}([ _.-]?(value|wert|temp))?$`)

// labelledChannel matches such a name with what its owner wrote behind it.
var labelledChannel = regexp.MustCompile(`^(?i)(t|ch|chan|channel|kanal|k|tc)[ _.-]?0*[0-9]{1,3}[ _.:-]+\pL.*$`)

// ContentOf says what a name suggests, and whether it suggests anything.
// channel is set where the name is that of a bare logger input.
func ContentOf(name string) (c layout.Content, channel bool) {
	words := Words(name)
	if slices.Contains(words, "engine") && slices.Contains(words, "speed") {
		return layout.HoldsRotation, false
	}
	for _, k := range contentWords {
		for _, w := range words {
			if w == "long" && len(words) > 1 { // "long term", "long trip"
				continue
			}
			if slices.Contains(k.words, strings.TrimRight(w, "0123456789")) && !(k.content == layout.HoldsTemperature && slices.Contains(words, "bank")) {
				return k.content, false
			}
		}
	}
	if channelName.MatchString(strings.TrimSpace(name)) {
		return layout.HoldsTemperature, true
	}
	if labelledChannel.MatchString(strings.TrimSpace(name)) || place.Of(name) != "" {
		return layout.HoldsTemperature, false
	}
	return "", false
}

// timeWords are in the names of columns that hold time as a number.
var timeWords = []string{"time", "timestamp", "zeit", "elapsed", "seconds", "secs", "sec", "epoch", "unix", "uhrzeit", "时间", "時間", "時刻", "日期", "日付", "日時", "日期时间", "秒",
	"datetime", "date/time", "time/date", "datum/zeit", "datum/uhrzeit", "ms", "micros", "microseconds", "us", "nanos", "nanoseconds", "ns", "days", "hours", "minutes", "tage", "stunden", "minuten", "sekunden", "millis", "msec", "milliseconds", "clock", "unixtime", "ts", "timems", "laufzeit"}

// SuggestsTime reports whether a name may be that of a time column.
func SuggestsTime(name string) bool {
	words := Words(name)
	for _, w := range words {
		if slices.Contains(timeWords, w) {
			return true
		}
	}
	return len(words) > 0 && words[0] == "t" && len(words) <= 2
}

// IsBareT reports whether a name is the letter T alone, which stands for a time
// as well as for a temperature.
func IsBareT(name string) bool {
	words := Words(name)
	return len(words) == 1 && words[0] == "t"
}

// counterWords are the names of columns that only number the rows.
var counterWords = []string{"nr", "no", "nº", "n°", "numero", "número", "numéro", "num", "number", "index", "idx", "sweep", "place", "record", "rec", "sample", "id", "row", "lfd", "scan", "item", "point", "pos", "n"}

// SuggestsCounter reports whether a name may be that of a count of rows.
func SuggestsCounter(name string) bool {
	name = strings.TrimSpace(strings.Trim(name, "\"'"))
	if name == "#" {
		return true
	}
	words := Words(name)
	return len(words) > 0 && len(words) <= 2 && slices.Contains(counterWords, words[0])
}
