package meaning

import "strings"

// Get is one line of a cell that fetches modules: go get and its arguments.
type Get struct {
	Line int // counted from 1
	Args []string
}

// Gets finds the lines "go get …" at the top of a cell, above everything but
// comments, and returns the cell with these made comments, on the same lines.
// They are no Go: behind go and a name Go wants the call of a function.
func Gets(cell string) (list []Get, rest string) {
	const words = "go get "
	if !strings.Contains(cell, words) {
		return nil, cell
	}
	lines := strings.SplitAfter(cell, "\n")
	for i, line := range lines {
		trimmed := strings.TrimSpace(line)
		if trimmed == "" || strings.HasPrefix(trimmed, "//") {
			continue
		}
		args, ok := strings.CutPrefix(trimmed, words)
		if args = strings.TrimSpace(args); !ok || args == "" || !isArgument(args[0]) {
			break
		}
		args, _, _ = strings.Cut(args, " //")
		list = append(list, Get{i + 1, strings.Fields(args)})
		lines[i] = "// " + line
	}
	return list, strings.Join(lines, "")
}

// isArgument reports whether an argument may begin so; get(…) is a call.
func isArgument(c byte) bool {
	return c == '-' || c == '.' || c == '_' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
}
