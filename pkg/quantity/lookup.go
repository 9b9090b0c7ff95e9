package quantity

import (
	"fmt"
	"slices"
	"strings"
)

// normal drops what people vary in a unit without meaning: spaces, points and
// signs of multiplication, and how °, ², ³, µ are typed.
var normal = strings.NewReplacer(
	"·", "", "⋅", "", "*", "", ".", "", "_", "", " ", "", "\t", "", "\u00a0", "", "\u2009", "", "\u202f", "",
	"²", "2", "³", "3", "₂", "2", "^", "", "⁻¹", "-1", "⁻²", "-2", "−", "-",
	"°", "deg", "º", "deg", "˚", "deg", "℃", "degC", "℉", "degF",
	"µ", "u", "μ", "u", "″", `"`, "”", `"`, "′", "'", "’", "'")

// spelled is what a spelling stands for within one kind.
type spelled struct {
	unit    Unit
	grade   grade
	refused string // why, where it is ambiguous
}

// grade says where a spelling may stand.
type grade int

const (
	anywhere grade = iota
	behindNumber
	damagedInFile
)

// index finds spellings: exact as normalised, and folded to lower case, where
// units that differ in case only stand beside each other.
type index struct {
	exact  map[string]spelled
	folded map[string][]spelled
}

// indexes of all kinds, made once from the table.
var indexes = func() (all [kinds]index) {
	for k := range kinds {
		e := &table[k]
		ix := index{exact: map[string]spelled{}, folded: map[string][]spelled{}}
		add := func(list string, s spelled) {
			if list == "" {
				return
			}
			for text := range strings.SplitSeq(list, "|") {
				n := normal.Replace(text)
				ix.exact[n] = s
				low := strings.ToLower(n)
				if !slices.ContainsFunc(ix.folded[low], func(o spelled) bool { return o.unit == s.unit && o.refused == s.refused }) {
					ix.folded[low] = append(ix.folded[low], s)
				}
			}
		}
		for i := range e.units {
			r := &e.units[i]
			u := r.unit(k)
			add(r.spellings, spelled{unit: u})
			add(r.behind, spelled{unit: u, grade: behindNumber})
			add(r.damaged, spelled{unit: u, grade: damagedInFile})
		}
		for text, why := range e.refused {
			add(text, spelled{refused: why})
		}
		all[k] = ix
	}
	return all
}()

// kindsOf lists the kinds that know a spelling in lower case.
var kindsOf = func() map[string][]Kind {
	all := map[string][]Kind{}
	for k := range kinds {
		for low := range indexes[k].folded {
			all[low] = append(all[low], k)
		}
	}
	return all
}()

// find returns what a normalised spelling means: as it is written, else in any
// letter case if that leaves one meaning.
func (ix index) find(n string) (found spelled, ambiguous []spelled) {
	if m, ok := ix.exact[n]; ok {
		return m, nil
	}
	switch all := ix.folded[strings.ToLower(n)]; len(all) {
	case 0:
		return spelled{}, nil
	case 1:
		return all[0], nil
	default:
		for _, m := range all {
			if m.refused != "" {
				return m, nil
			}
		}
		return spelled{}, all
	}
}

// Lookup returns the unit of a kind that a person writes behind a number.
// Letter case matters only where it tells two units apart, as mW and MW.
//
// It fails, wrapping [ErrSyntax], for a spelling that is not in the table, and
// for one that people use for two units ("bhp"); the error lists the units.
func Lookup(kind Kind, spelling string) (Unit, error) {
	u, why := lookup(kind, spelling)
	if why != "" {
		return Unit{}, fmt.Errorf("%q is %w (%s): %s (units: %s)", spelling, ErrSyntax, kind, why, kind.UnitList())
	}
	return u, nil
}

// lookup returns the unit, or why there is none.
func lookup(kind Kind, spelling string) (u Unit, why string) {
	if kind < 0 || kind >= kinds {
		return Unit{}, "there is no such kind of quantity"
	}
	found, ambiguous := indexes[kind].find(normal.Replace(strings.TrimSpace(spelling)))
	switch {
	case len(ambiguous) > 0:
		symbols := make([]string, len(ambiguous))
		for i, m := range ambiguous {
			symbols[i] = m.unit.symbol
		}
		return Unit{}, fmt.Sprintf("%q may mean %s; their letter case tells them apart", spelling, strings.Join(symbols, " or "))
	case found.refused != "":
		return Unit{}, found.refused
	case found.unit == (Unit{}) && kind != KindNumber, found.grade == damagedInFile:
		return Unit{}, fmt.Sprintf("%q is not a unit of %s", strings.TrimSpace(spelling), kind)
	case kind == KindNumber && strings.TrimSpace(spelling) != "":
		return Unit{}, fmt.Sprintf("a number has no unit, but %q stands behind it", strings.TrimSpace(spelling))
	}
	return found.unit, ""
}

// FindUnits returns all units that the header of a file, a line of units or a
// cell may mean by a spelling, at most one of each kind and in the order of
// the kinds; of the given kinds only, if there are any. Spellings that are
// words of their own in a header ("in", "t", "ch") are not found, those whose
// degree sign was lost with the file's encoding ("?C") are.
func FindUnits(spelling string, among ...Kind) []Unit {
	n := normal.Replace(undamaged.Replace(strings.TrimSpace(spelling)))
	var all []Unit
	for _, k := range kindsOf[strings.ToLower(n)] {
		if len(among) > 0 && !slices.Contains(among, k) {
			continue
		}
		if m, _ := indexes[k].find(n); m.unit != (Unit{}) && m.grade != behindNumber {
			all = append(all, m.unit)
		}
	}
	return all
}

// undamaged repairs signs whose UTF-8 was encoded twice.
var undamaged = strings.NewReplacer("Â°", "°", "â°", "°", "Âµ", "µ", "Â²", "²", "Â³", "³")
