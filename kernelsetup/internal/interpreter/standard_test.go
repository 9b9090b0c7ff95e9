package interpreter

import (
	"fmt"
	"go/build"
	"os/exec"
	"runtime"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
)

// Every package of the standard library can be imported by a cell and has, by
// the compiler's own source, something to import.
func TestEveryStandardPackage(t *testing.T) {
	nb := newNotebook(t)
	// A test built with -trimpath doesn't know where Go is; the command does.
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	standard := build.Default
	standard.GOROOT = strings.TrimSpace(string(root))
	for _, path := range symbols.Default().Paths() {
		if first, _, _ := strings.Cut(path, "/"); strings.Contains(first, ".") {
			continue
		}
		nb.ok(fmt.Sprintf("import _ %q", path))
		if bp, err := standard.Import(path, "", build.FindOnly); err != nil || !bp.Goroot {
			t.Errorf("%s is not of this Go: %v", path, err)
		}
	}
}

// Packages whose tables were missing, in use.
func TestStandardPackagesInUse(t *testing.T) {
	nb := newNotebook(t)
	nb.ok(`import ("context"; "crypto/fips140"; "database/sql"; "database/sql/driver"; "errors"; "expvar"; "fmt"; "io"; "net/http"; "net/http/httptest"; "runtime/coverage"; "syscall"; "time"; "strings")
type shelf struct{ rows [][]driver.Value }
func (s *shelf) Connect(context.Context) (driver.Conn, error) { return s, nil }
func (s *shelf) Driver() driver.Driver { return nil }
func (s *shelf) Prepare(string) (driver.Stmt, error) { return s, nil }
func (s *shelf) Close() error { return nil }
func (s *shelf) Begin() (driver.Tx, error) { return nil, errors.New("no transactions") }
func (s *shelf) NumInput() int { return -1 }
func (s *shelf) Exec([]driver.Value) (driver.Result, error) { return driver.RowsAffected(1), nil }
func (s *shelf) Query(args []driver.Value) (driver.Rows, error) { return &reading{s, 0}, nil }
type reading struct { s *shelf; n int }
func (r *reading) Columns() []string { return []string{"name", "weight"} }
func (r *reading) Close() error { return nil }
func (r *reading) Next(to []driver.Value) error {
	if r.n == len(r.s.rows) { return io.EOF }
	copy(to, r.s.rows[r.n])
	r.n++
	return nil
}
db := sql.OpenDB(&shelf{[][]driver.Value{{"bolt", int64(12)}, {"nut", nil}}})
func weights() (text string) {
	rows, err := db.Query("all")
	if err != nil { return err.Error() }
	defer rows.Close()
	for rows.Next() {
		var name string
		var w sql.Null[int32]
		if err := rows.Scan(&name, &w); err != nil { return err.Error() }
		text += fmt.Sprint(name, w, " ")
	}
	return text
}
func get(path string) string {
	r := httptest.NewRecorder()
	http.DefaultServeMux.ServeHTTP(r, httptest.NewRequest("GET", path, nil))
	return fmt.Sprint(r.Code, strings.Contains(r.Body.String(), "memstats"))
}`)
	for _, c := range []struct{ src, want string }{
		{"weights()", "bolt{12 true} nut{0 false} "},
		{"var n sql.Null[time.Time]\nfmt.Sprint(n.Scan(\"noon\"))", "unsupported Scan, storing driver.Value type string into type *time.Time"},
		{"var f sql.Null[float64]\nfmt.Sprint(f.Scan(\"2.5\"), f.V)", "<nil> 2.5"},
		{"v, err := sql.Null[string]{V: \"x\", Valid: true}.Value()\nfmt.Sprint(v, err)", "x<nil>"},
		{"get(\"/debug/vars\")", "200 true"},
		{"import _ \"net/http/pprof\"\nget(\"/debug/pprof/cmdline\")", "200 false"},
		{"expvar.NewInt(\"bolts\").Add(3)\nexpvar.Get(\"bolts\").String()", "3"},
		{"fmt.Sprint(fips140.Enabled(), coverage.WriteMetaDir(\"\") != nil)", "false true"},
		{"fmt.Sprint(syscall.ENOENT, errors.Is(syscall.ENOENT, fs.ErrNotExist), syscall.SIGTERM)", "no such file or directory true terminated"},
	} {
		if strings.Contains(c.src, "fs.") {
			nb.ok("import \"io/fs\"")
		}
		if got := nb.value(c.src); got != c.want {
			t.Errorf("%s is %s, want %s", c.src, got, c.want)
		}
	}
	if runtime.GOOS == "windows" {
		return
	}
	nb.ok("syscall.Kill(syscall.Getpid(), 0)")
	if r := nb.run("syscall.Exec(\"/bin/true\", nil, nil)", 0); r.Err == nil || r.Err.Kind != Unsupported {
		t.Errorf("syscall.Exec: %v", r.Err)
	}
}
