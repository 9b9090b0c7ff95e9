package recording

import (
	"regexp"
	"slices"
	"strings"
)

// contentWords says what a column holds if its name has one of the words. The
// first entry that matches wins, so the more telling ones come first.
var contentWords = []struct {
	content Content
	words   []string
}{
	{HoldsNumber, []string{"accuracy", "sats", "satellites", "hdop", "vdop", "pdop", "index", "count"}},
	{HoldsLatitude, []string{"lat", "latitude", "breite", "breitengrad"}},
	{HoldsLongitude, []string{"lon", "lng", "long", "longitude", "länge", "längengrad"}},
	{HoldsRotation, []string{"rpm", "revs", "drehzahl", "tach"}},
	{HoldsHumidity, []string{"humidity", "humid", "rh", "feuchte"}},
	{HoldsPressure, []string{"pressure", "baro", "barometer", "barometric", "pres", "luftdruck", "druck"}},
	{HoldsTemperature, []string{"temp", "temperature", "temperatur", "temps", "coolant", "ambient", "thermocouple", "tc", "celsius", "fahrenheit", "ect", "iat"}},
	{HoldsSpeed, []string{"speed", "velocity", "geschwindigkeit", "vel", "sog"}},
	{HoldsLength, []string{"alt", "altitude", "ele", "elevation", "height", "höhe", "distance", "dist"}},
	{HoldsAngle, []string{"course", "heading", "bearing", "direction", "cog"}},
	{HoldsVoltage, []string{"volt", "voltage", "voltage", "vbat", "battery"}},
	{HoldsAccel, []string{"acceleration", "accel"}},
}

// channelName matches what loggers call their temperature inputs when they
// write nothing else: T1, CH 2, Chan 101, K3, Sensor 5, Probe 1.
var channelName = regexp.MustCompile(`^(?i)(t|ch|chan|channel|kanal|k|tc|sensor|probe|input|temp)[ _.-]?0*[0-9]{1,3}([ _.-]?(value|wert|temp))?$`)

// contentOf says what a name suggests, and whether it suggests anything.
// channel is set where the name is that of a bare logger input.
func contentOf(name string) (c Content, channel bool) {
	words := nameWords(name)
	if slices.Contains(words, "engine") && slices.Contains(words, "speed") {
		return HoldsRotation, false
	}
	for _, k := range contentWords {
		for _, w := range words {
			if w == "long" && len(words) > 1 { // "long term", "long trip"
				continue
			}
			if slices.Contains(k.words, strings.TrimRight(w, "0123456789")) && !(k.content == HoldsTemperature && slices.Contains(words, "bank")) {
				return k.content, false
			}
		}
	}
	if channelName.MatchString(strings.TrimSpace(name)) {
		return HoldsTemperature, true
	}
	return "", false
}

// timeWords are in the names of columns that hold time as a number.
var timeWords = []string{"time", "timestamp", "zeit", "elapsed", "seconds", "secs", "sec", "epoch", "unix", "uhrzeit",
	"datetime", "ms", "millis", "msec", "milliseconds", "clock", "unixtime", "timems", "laufzeit"}

// suggestsTime reports whether a name may be that of a time column.
func suggestsTime(name string) bool {
	words := nameWords(name)
	for _, w := range words {
		if slices.Contains(timeWords, w) {
			return true
		}
	}
	return len(words) > 0 && words[0] == "t" && len(words) <= 2
}

// counterWords are the names of columns that only number the rows.
var counterWords = []string{"nr", "no", "num", "number", "index", "idx", "sweep", "place", "record", "rec", "sample", "id", "row", "lfd", "scan", "item", "point", "pos", "n"}

func suggestsCounter(name string) bool {
	name = strings.TrimSpace(strings.Trim(name, "\"'"))
	if name == "#" {
		return true
	}
	words := nameWords(name)
	return len(words) > 0 && len(words) <= 2 && slices.Contains(counterWords, words[0])
}

// bracketed matches a unit in brackets, or after a slash or comma, at the end
// of a name.
var bracketed = regexp.MustCompile(`^(.*?)\s*(?:\(([^()]*)\)|\[([^\[\]]*)\]|\{([^{}]*)\})\s*$`)

// cutUnit splits a header into name and unit: "Air [°C]", "v / km/h",
// "speed_kmh", "T1 °C". The unit is empty where there is none.
func cutUnit(header string) (name, found string, u *unit) {
	header = strings.TrimSpace(header)
	if k, ok := lookUpUnit(header); ok && len(header) > 1 {
		return header, header, k
	}
	if m := bracketed.FindStringSubmatch(header); m != nil {
		found = strings.TrimSpace(m[2] + m[3] + m[4])
		if k, ok := lookUpUnit(found); ok {
			return strings.TrimSpace(m[1]), found, k
		}
		if found == "" || len(found) <= 8 {
			return strings.TrimSpace(m[1]), found, nil
		}
		return header, "", nil
	}
	if i := strings.LastIndexByte(header, ' '); i > 0 && strings.Contains(header[i:], "/") { // "Speed km/h"
		if k, ok := lookUpUnit(header[i:]); ok {
			return strings.TrimSpace(header[:i]), header[i+1:], k
		}
	}
	for _, sep := range []string{" / ", "/", ", ", " in "} {
		if i := strings.Index(header, sep); i > 0 {
			rest := header[i+len(sep):]
			content, _ := contentOf(header[:i])
			if k, ok := lookUpUnit(rest); ok && (len(rest) > 1 || content != "" && k.fits(content) || k.content == HoldsTime && suggestsTime(header[:i])) { // not "latitude N/S"
				return strings.TrimSpace(header[:i]), header[i+len(sep):], k
			}
		}
	}
	// The last word, if it is a unit and not the name itself. A single letter
	// counts only where the rest of the name asks for that kind of unit.
	words := strings.FieldsFunc(header, func(r rune) bool { return r == ' ' || r == '_' || r == '-' })
	if len(words) < 2 {
		if w := nameWords(header); len(w) >= 2 { // cycMps, speedKmh
			last := w[len(w)-1]
			if k, ok := lookUpUnit(last); ok && len(last) > 1 {
				return header, header[len(header)-len(last):], k
			}
		}
		return header, "", nil
	}
	if len(words) > 2 { // "Air Deg C"
		if i := strings.LastIndex(header, words[len(words)-2]); i > 0 {
			if k, ok := lookUpUnit(header[i:]); ok && k.content == HoldsTemperature {
				return strings.TrimRight(header[:i], " _-"), header[i:], k
			}
		}
	}
	last := words[len(words)-1]
	rest := strings.TrimRight(strings.TrimSuffix(header, last), " _-")
	k, ok := lookUpUnit(last)
	if !ok {
		return header, "", nil
	}
	content, _ := contentOf(rest)
	if content == HoldsSpeed && strings.EqualFold(last, "ms") {
		return rest, last, metrePerS
	}
	switch {
	case k.content == HoldsTime && !suggestsTime(rest):
		return header, "", nil
	case len(last) > 1 || k.fits(content):
		return rest, last, k
	case k.content == HoldsTime:
		return rest, last, k
	}
	return header, "", nil
}
