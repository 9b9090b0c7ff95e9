package vm

import "golang.org/x/tools/go/ssa"

// nativeName is a function's name as the table of natives spells it:
// "os.Exit", "(*sync.Mutex).Lock". Instances of a generic function or method
// share one name.
func nativeName(fn *ssa.Function) string {
	if fn.Parent() != nil { // its origin may not have been built
		return ""
	}
	if o := fn.Origin(); o != nil {
		fn = o
	}
	if fn.Object() == nil || fn.Synthetic != "" && len(fn.Blocks) > 0 {
		return ""
	}
	return fullName(fn)
}

// fullName is a function's name with its package and receiver.
func fullName(fn *ssa.Function) string {
	return fn.RelString(nil)
}
