package machine

import (
	"go/ast"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype"
)

// checkStack keeps recursion through compiled code from overflowing the Go
// stack, which would end the process.
func checkStack() {
	if rtype.StackUsed() > maxGoStack {
		panic(stackOverflow{})
	}
}

const maxGoStack = 512 << 20

func declHasBody(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.FuncDecl:
		return n.Body != nil
	case *ast.FuncLit:
		return true
	}
	return n != nil
}
