package mutant

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
)

// version begins the files in which the go command keeps inputs.
const version = "go test fuzz v1"

// encode writes an input as the go command does: one line an argument.
func encode(in input) []byte {
	var b bytes.Buffer
	b.WriteString(version + "\n")
	for _, a := range in {
		switch a := a.(type) {
		case []byte:
			fmt.Fprintf(&b, "[]byte(%q)\n", a)
		case string:
			fmt.Fprintf(&b, "string(%q)\n", a)
		case int:
			fmt.Fprintf(&b, "int(%d)\n", a)
		case float64:
			fmt.Fprintf(&b, "math.Float64frombits(0x%x)\n", math.Float64bits(a))
		default:
			panic(fmt.Sprintf("mutant: an argument of type %T can't be kept: add a case to encode", a))
		}
	}
	return b.Bytes()
}

// decode reads such a file.
func decode(data []byte) (input, error) {
	lines := strings.Split(strings.TrimRight(string(data), "\n"), "\n")
	if lines[0] != version {
		return nil, fmt.Errorf("begins with %q, not %q", lines[0], version)
	}
	var in input
	for _, line := range lines[1:] {
		a, err := argument(line)
		if err != nil {
			return nil, fmt.Errorf("%q: %w", line, err)
		}
		in = append(in, a)
	}
	return in, nil
}

// argument reads one line: a conversion of a literal.
func argument(line string) (any, error) {
	e, err := parser.ParseExpr(line)
	if err != nil {
		return nil, err
	}
	call, ok := e.(*ast.CallExpr)
	if !ok || len(call.Args) != 1 {
		return nil, fmt.Errorf("is no conversion")
	}
	sign, literal := "", call.Args[0]
	if u, ok := literal.(*ast.UnaryExpr); ok {
		sign, literal = u.Op.String(), u.X
	}
	var text string
	switch l := literal.(type) {
	case *ast.BasicLit:
		text = sign + l.Value
		if l.Kind == token.STRING {
			if text, err = strconv.Unquote(l.Value); err != nil {
				return nil, err
			}
		}
	case *ast.Ident: // NaN, Inf
		text = sign + l.Name
	}
	switch kind := line[:call.Lparen-1]; kind {
	case "[]byte":
		return []byte(text), nil
	case "string":
		return text, nil
	case "int":
		return strconv.Atoi(text)
	case "float64":
		return strconv.ParseFloat(text, 64)
	case "math.Float64frombits":
		u, err := strconv.ParseUint(text, 0, 64)
		return math.Float64frombits(u), err
	default:
		return nil, fmt.Errorf("%s is not known here", kind)
	}
}

// readCorpus adds the inputs in a folder, if there is one, but those of another
// shape, which an older target had.
func (p *prover) readCorpus(folder string) {
	p.Helper()
	paths, err := filepath.Glob(filepath.Join(folder, "*"))
	if err != nil {
		p.Fatal(err)
	}
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			p.Fatal(err)
		}
		in, err := decode(data)
		if err != nil {
			p.Fatalf("%s: %v", path, err)
		}
		if sameShape(in, p.pool[0]) {
			p.pool = append(p.pool, in)
		}
	}
}

func sameShape(a, b input) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if reflect.TypeOf(a[i]) != reflect.TypeOf(b[i]) {
			return false
		}
	}
	return true
}

// keep writes an input where the go command tries it again, and returns its
// name there.
func (p *prover) keep(in input) string {
	p.Helper()
	data := encode(in)
	folder := filepath.Join("testdata", "fuzz", p.name)
	name := fmt.Sprintf("%x", sha256.Sum256(data))[:16]
	if err := os.MkdirAll(folder, 0o755); err != nil {
		p.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, name), data, 0o644); err != nil {
		p.Fatal(err)
	}
	return name
}
