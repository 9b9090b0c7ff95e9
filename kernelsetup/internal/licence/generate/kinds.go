package main

import (
	"errors"
	"fmt"
	"regexp"
	"strings"
	"unicode"
)

// kinds are sentences by which a licence is known, in lower case with single
// spaces and without stars, and its SPDX identifier (SPDX License List 3.25; from memory).
var kinds = []struct{ sentence, kind string }{
	{"permission is hereby granted, free of charge, to any person obtaining a copy of this software and associated", "MIT"},
	{"licensed under the mit license", "MIT"},
	{"the mit license", "MIT"},
	{"apache license, version 2.0", "Apache-2.0"},
	{"apache license version 2.0", "Apache-2.0"},
	{"boost software license - version 1.0", "BSL-1.0"},
	{"sil open font license version 1.1", "OFL-1.1"},
	{"creative commons attribution 4.0 international", "CC-BY-4.0"},
	{"the freetype project license", "FTL"},
	{"the freetype license", "FTL"},
	{"freetype license", "FTL"},
	{"developed at sunpro", "SunPro"},
	{"this document, test suites and other documents that link to this statement", "LicenseRef-W3C-Test-Suite"},
	{"copyright (c) 2014 by ignace bogaert", "LicenseRef-Bogaert"}, // a disclaimer and nothing more
	{"permission to use, copy, modify, and/or distribute this software for any purpose with or without fee", "ISC"},
	{"permission to use, copy, modify, and distribute this software for any purpose with or without fee", "ISC"},
	{"this is free and unencumbered software released into the public domain", "Unlicense"},
}

// A BSD licence is told from its shorter form by its third clause.
const (
	bsd     = "redistribution and use in source and binary forms"
	endorse = "endorse or promote products"
)

// asides are texts beside a licence that ask for nothing more than to be carried
// with it (for a NOTICE: Apache License 2.0, section 4 d).
var asides = []string{
	"additional ip rights grant (patents)",
	"this product includes software developed at the apache software foundation",
}

var copyleft = regexp.MustCompile(`\b(gnu (lesser |library |affero )?general public licen[cs]e|[al]?gpl([ -]?v?[23])?|mozilla public licen[cs]e|mpl[ -]2|eclipse public licen[cs]e|european union public licen[cs]e|server side public licen[cs]e|sharealike)\b`)

var (
	errCopyleft = errors.New("a copyleft licence, which the program can't carry")
	errUnknown  = errors.New("a licence of a kind that is not known here; read it and add it to kinds.go, or drop the module")
)

// kindsOf returns the SPDX identifiers of the licences in a text. It returns
// an error for a copyleft licence, also where another is offered beside it,
// and for a text that no known licence is in.
func kindsOf(text string) ([]string, error) {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return unicode.IsSpace(r) || r == '*' || r == '#' })
	plain := strings.Join(words, " ")
	var found []string
	for _, k := range kinds {
		if strings.Contains(plain, k.sentence) {
			found = append(found, k.kind)
		}
	}
	if strings.Contains(plain, bsd) {
		if strings.Contains(plain, endorse) {
			found = append(found, "BSD-3-Clause")
		} else {
			found = append(found, "BSD-2-Clause")
		}
	}
	if word := copyleft.FindString(plain); word != "" {
		return found, fmt.Errorf("%w (%q)", errCopyleft, word)
	}
	if len(found) > 0 {
		return found, nil
	}
	for _, a := range asides {
		if strings.Contains(plain, a) {
			return nil, nil
		}
	}
	return nil, errUnknown
}
