package interpreter

import (
	"fmt"
	"go/token"
	"regexp"
	"strings"
	"unicode/utf8"
)

// What people write in their first hours who calculate on paper, with units
// and decimal commas, and who never programmed.

// factors are how the units that people write behind a number are written in
// Go; N stands for the number.
var factors = map[string]string{
	"°C": "quantity.Celsius(N)", "°F": "quantity.Fahrenheit(N)",
	"C": "quantity.Celsius(N)", "F": "quantity.Fahrenheit(N)", "K": "quantity.KelvinDifference(N)",
	"Pa": "N * quantity.Pascal", "hPa": "N * quantity.Hectopascal", "mbar": "N * quantity.Hectopascal",
	"kPa": "N * quantity.Kilopascal", "bar": "N * quantity.Bar",
	"mm": "N * quantity.Millimetre", "m": "N * quantity.Metre", "km": "N * quantity.Kilometre",
	"km/h": "N * quantity.KilometrePerHour", "mph": "N * quantity.MilePerHour", "m/s": "N * quantity.MetrePerSecond",
	"rpm": "N * quantity.RevolutionPerMinute", "kW": "N * quantity.Kilowatt",
	"s": "N * time.Second (or N alone, where seconds are asked for)", "min": "N * time.Minute (or the seconds, where those are asked for)",
	"h": "N * time.Hour",
}

// spelled are units that people write out, and other ways to write them.
var spelled = map[string]string{
	"kelvin": "K", "degrees": "°C", "deg": "°C", "celsius": "°C", "fahrenheit": "°F", "degC": "°C", "degF": "°F",
	"sec": "s", "second": "s", "seconds": "s", "minute": "min", "minutes": "min", "hour": "h", "hours": "h",
	"kmh": "km/h", "kph": "km/h", "metre": "m", "metres": "m", "meters": "m", "kilometres": "km", "kilometers": "km",
}

var (
	numberBefore = regexp.MustCompile(`([0-9][0-9.]*)\s*$`)
	unitAfter    = regexp.MustCompile(`^(°?[A-Za-z]+(?:/[a-z]+)?)`)
	nameBefore   = regexp.MustCompile(`(^|[^\w.])([A-Za-z_]\w*)\s+$`)
	callAfter    = regexp.MustCompile(`^([A-Z]\w*)\s*\(`)
	calledBefore = regexp.MustCompile(`(\w+\.[A-Z]\w*)\s+$`)
	valueAfter   = regexp.MustCompile(`^["0-9]`)
	wordAfter    = regexp.MustCompile(`^[A-Za-z]\w*(?:$|[ ,.)])`)
	percent      = regexp.MustCompile(`[0-9]\s*%\s*(?:$|[),;]|//)`)
	decimalComma = regexp.MustCompile(`(^|[^\w.,])([0-9]+),([0-9]+)($|[^\w.,])`)
)

// slipInSyntax is a sentence on a slip of that kind at a syntax error, or
// nothing.
func slipInSyntax(line string, column int, message string) string {
	switch {
	case strings.Contains(message, "escape sequence"):
		return `A backslash inside quotes begins a sign of its own. Write a path with forward slashes, "C:/logs/a.csv", or between backquotes, ` + "`C:\\logs\\a.csv`."
	case strings.Contains(message, "curly quotation mark"):
		return straightQuotes
	case percent.MatchString(line):
		return "A share is a number, 0.5 for 50 %; a humidity has a unit of the library: 50 * quantity.PercentHumidity."
	case strings.Contains(message, "unexpected comma; expecting ]"):
		return "A list says what it holds: []float64{1, 2, 3}"
	}
	if column < 1 || column > len(line) {
		return ""
	}
	before, after := line[:column-1], line[column-1:]
	if r, _ := utf8.DecodeRuneInString(after); strings.ContainsRune("“”„‟‘’‚‛«»", r) {
		return straightQuotes
	}
	if n := numberBefore.FindStringSubmatch(before); n != nil {
		unit := unitAfter.FindString(after)
		how, known := factors[unit]
		if !known {
			how, known = factors[spelled[unit]]
		}
		if !known {
			unit, _, _ = strings.Cut(unit, "/")
			how, known = factors[unit]
		}
		if known {
			return fmt.Sprintf("A number carries its unit by a name of the library: for %s %s write %s.", n[1], unit, strings.ReplaceAll(how, "N", n[1]))
		}
	}
	if m := calledBefore.FindStringSubmatch(before); m != nil && valueAfter.MatchString(after) {
		return fmt.Sprintf("What a function is given stands in round brackets: %s(%s)", m[1], strings.TrimSpace(after))
	}
	if m := nameBefore.FindStringSubmatch(before); m != nil && !token.IsKeyword(m[2]) && callAfter.MatchString(after) {
		return fmt.Sprintf("Between a package and what is in it stands a dot: %s.%s", m[2], callAfter.FindStringSubmatch(after)[1])
	}
	return ""
}

// textWithoutQuotes is a sentence on two words side by side.
func textWithoutQuotes(line string, column int) string {
	if column < 1 || column > len(line) {
		return ""
	}
	if m := nameBefore.FindStringSubmatch(line[:column-1]); m == nil || token.IsKeyword(m[2]) || !wordAfter.MatchString(line[column-1:]) {
		return ""
	}
	return `Two words with only a blank between them are no Go. A text stands in quotes: "the village"`
}

const straightQuotes = `Text stands in straight quotes, "like this". Text that is copied from a letter or a page often has curly ones.`

// slipInName is a sentence on a slip at a name that is not declared.
func slipInName(line, name string) string {
	if file := regexp.MustCompile(`(?:^|[^\w.])(` + regexp.QuoteMeta(name) + `\.(?:toml|csv|txt|tsv|json|xlsx|ods|gpx|kml|png|html|ipynb))\b`).FindStringSubmatch(line); file != nil {
		return fmt.Sprintf("A file's name is a text, and stands in quotes: %q", file[1])
	}
	return ""
}

var (
	tooManyValues   = regexp.MustCompile(`^(extra init expr|too many arguments in call|assignment mismatch: 1 variable but 2 values|cannot assign 2 values to 1 variable)`)
	temperaturePlus = regexp.MustCompile(`mismatched types (quantity\.Temperature and (untyped (int|float)|int|float64)|(untyped (int|float)|int|float64) and quantity\.Temperature)`)
	bareTemperature = regexp.MustCompile(`^cannot use (\S+) \((?:untyped (?:int|float) constant|constant \S+ of type \w+|variable of type (?:int|float64)|value of type (?:int|float64))[^)]*\) as quantity\.Temperature value`)
	quotedNumber    = regexp.MustCompile(`^cannot use "([0-9.]+)" \(untyped string constant\) as \S+ value`)
	temperatureLess = regexp.MustCompile(`operator - not defined on .*quantity\.Temperature`)
	temperatureMore = regexp.MustCompile(`operator (<|>|<=|>=) not defined on (struct|.*quantity\.Temperature)`)
)

// slipInTypes is a sentence on a slip of that kind at a type error, or
// nothing. line is the line where it stands.
func slipInTypes(line, message string) string {
	if tooManyValues.MatchString(message) {
		if m := decimalComma.FindStringSubmatch(line); m != nil {
			return fmt.Sprintf("A decimal number has a point: %s.%s. A comma stands between two values.", m[2], m[3])
		}
	}
	if temperaturePlus.MatchString(message) {
		return "A temperature and a bare number can't be calculated with: say what the number is. t.Add(quantity.KelvinDifference(5)) is 5 K warmer, and t.Celsius() is the number of degrees."
	}
	if m := bareTemperature.FindStringSubmatch(message); m != nil {
		return fmt.Sprintf("A temperature says its scale: quantity.Celsius(%s) or quantity.Fahrenheit(%s).", m[1], m[1])
	}
	if m := quotedNumber.FindStringSubmatch(message); m != nil {
		return fmt.Sprintf("Quotes make a text. A number stands without them: %s", m[1])
	}
	switch {
	case strings.Contains(message, "cannot indirect") && strings.Contains(line, "**"):
		return "Go has no **: write x * x, or math.Pow(x, 2)."
	case temperatureLess.MatchString(message):
		return "The difference of two temperatures is a.Sub(b)."
	case temperatureMore.MatchString(message) && strings.Contains(line, "Celsius"):
		return "Two temperatures are compared by a.Compare(b), which is below, at or above 0; or compare a.Celsius() with b.Celsius()."
	}
	return ""
}

// lineAt returns the line of a cell in which a place stands, "" for a place in
// none.
func (p placer) lineAt(pos token.Pos) string {
	src, off := p.Find(pos)
	if src == nil {
		return ""
	}
	n, _ := lineColumn(src.Text, off)
	return sourceLine(src.Text, n)
}

// qualified is what to write for a name that an imported package has, where
// its name or the dot behind it is missing: Celsius or quantityCelsius for
// quantity.Celsius.
func (c *change) qualified(name string) string {
	best := ""
	for local, path := range c.s.imports {
		rest, glued := strings.CutPrefix(name, local)
		pkg, err := c.s.packages.Import(path)
		if err != nil || local == "." || local == "_" {
			continue
		}
		candidates := []string{name}
		if glued {
			candidates = append(candidates, rest)
		}
		for _, candidate := range candidates {
			if !token.IsExported(candidate) || pkg.Scope().Lookup(candidate) == nil {
				continue
			}
			if found := local + "." + candidate; best == "" || found < best {
				best = found
			}
		}
	}
	return best
}

// isWithin reports whether the letters of a name stand in another in that
// order: letters were left out rather than mistaken.
func isWithin(short, long string) bool {
	for _, r := range long {
		if short == "" {
			break
		}
		short = strings.TrimPrefix(short, string(r))
	}
	return short == ""
}
