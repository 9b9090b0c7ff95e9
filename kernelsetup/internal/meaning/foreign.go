package meaning

import (
	"fmt"
	"regexp"
	"strings"
)

// foreign are the forms of lines that people bring along from elsewhere, with
// what to write here; %s is what the first group matched.
var foreign = []struct {
	form *regexp.Regexp
	hint string
}{
	{regexp.MustCompile(`^[!%]*cd(?:\s+(\S+))?\s*$`), "os.Chdir(\"%s\") changes the folder, for all cells that follow. Files beside the notebook are found without it."},
	{regexp.MustCompile(`^%+time`), DirectivePrefix + Time + " as the first line of a cell tells how long it took."},
	{regexp.MustCompile(`^%`), "Lines do not begin with % here; a cell that says only help lists what there is beside Go."},
	{regexp.MustCompile(`^!?\s*(?:pip3?|conda|mamba|npm|apt|apt-get|brew|go\s+(?:get|install|mod))\s+\S`), "Packages for cells are Go modules: go get PATH, as the first line of a cell, puts one into the notebook's go.mod; then import it by its path."},
	{regexp.MustCompile(`^!\s*(\S.*)$`), "A shell command line begins with a dollar sign, in a cell of its own: $ %s"},
	{regexp.MustCompile(`^\?+\s*([\pL_][\pL\pN_.]*)`), helpHint},
	{regexp.MustCompile(`([\pL_][\pL\pN_.]*)\s*\?+$`), helpHint},
	{regexp.MustCompile(`^((?:ls|dir|pwd|cat|head|tail|less|mkdir|rmdir|rm|cp|mv|touch|echo|git|curl|wget|grep|find|which|man|make|python3?|go|du|df|ps|unzip|tar)(?:\s.*)?)$`), "A shell command line begins with a dollar sign, in a cell of its own: $ %s"},
	{regexp.MustCompile(`^use(?:\s|$)`), "use bonnetbook, as the only line of a cell, opens the library: all its packages by their names."},
	{regexp.MustCompile(`^from\s+\w+\s+import\b`), "Go imports a package by its path: import \"fmt\""},
	{regexp.MustCompile(`^print\s+([^(].*)$`), "To print, write fmt.Println(%s)"},
	{regexp.MustCompile(`^\$`), "Shell command lines stand in a cell of their own, which begins with the dollar sign."},
}

const helpHint = "help %s, as the only line of a cell, explains a name. So does Shift-Tab with the cursor on it."

// Foreign says what to write instead of a line that other tools would know;
// empty where it looks like none. It is asked about lines that are no Go.
func Foreign(line string) string {
	line = strings.TrimSpace(line)
	for _, f := range foreign {
		m := f.form.FindStringSubmatch(line)
		switch {
		case m == nil:
		case strings.Contains(f.hint, "%s"):
			return fmt.Sprintf(f.hint, m[1])
		default:
			return f.hint
		}
	}
	return ""
}
