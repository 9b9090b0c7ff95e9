package vm

import (
	"go/token"
	"go/types"

	"golang.org/x/tools/go/ssa"
)

// cond branches to label when v is want.
func (g *gen) cond(v ssa.Value, want bool, label int) {
	if b, ok := v.(*ssa.BinOp); ok && g.fused[v] {
		g.condCompare(b, want, label)
		return
	}
	op := opJF
	if want {
		op = opJT
	}
	g.branchTo(op, g.sOf(v), 0, label)
}

var inverse = map[token.Token]token.Token{
	token.EQL: token.NEQ, token.NEQ: token.EQL, token.LSS: token.GEQ,
	token.GEQ: token.LSS, token.GTR: token.LEQ, token.LEQ: token.GTR,
}

var mirror = map[token.Token]token.Token{
	token.EQL: token.EQL, token.NEQ: token.NEQ, token.LSS: token.GTR,
	token.GTR: token.LSS, token.LEQ: token.GEQ, token.GEQ: token.LEQ,
}

func (g *gen) condCompare(v *ssa.BinOp, want bool, label int) {
	b := v.X.Type().Underlying().(*types.Basic)
	if b.Info()&(types.IsInteger|types.IsBoolean) == 0 {
		g.condFloat(v, want, label)
		return
	}
	x, y, op := v.X, v.Y, v.Op
	if !want {
		op = inverse[op]
	}
	signed := b.Info()&types.IsUnsigned == 0
	c, ok := smallInt(y)
	if !ok {
		if c, ok = smallInt(x); ok {
			x, op = y, mirror[op]
		}
	}
	if ok && !g.isConst(x) && (signed || op == token.EQL || op == token.NEQ) {
		imm := map[token.Token]opcode{token.EQL: opJEqI, token.NEQ: opJNeI, token.LSS: opJLtI,
			token.LEQ: opJLeI, token.GTR: opJGtI, token.GEQ: opJGeI}[op]
		g.branchTo(imm, g.sOf(x), c, label)
		return
	}
	x = v.X
	if op2 := v.Op; want {
		op = op2
	} else {
		op = inverse[op2]
	}
	if op == token.GTR || op == token.GEQ {
		x, y, op = y, x, mirror[op]
	}
	code := map[token.Token]opcode{token.EQL: opJEq, token.NEQ: opJNe, token.LSS: opJLtS, token.LEQ: opJLeS}[op]
	if !signed && (op == token.LSS || op == token.LEQ) {
		code += opJLtU - opJLtS
	}
	g.branchTo(code, g.sOf(x), g.sOf(y), label)
}

func (g *gen) condFloat(v *ssa.BinOp, want bool, label int) {
	x, y, op := v.X, v.Y, v.Op
	if op == token.GTR || op == token.GEQ {
		x, y, op = y, x, mirror[op]
	}
	var code opcode
	switch op {
	case token.EQL:
		code = opJFEq
		if !want {
			code = opJFNe
		}
	case token.NEQ:
		code = opJFNe
		if !want {
			code = opJFEq
		}
	case token.LSS:
		code = opJFLt
		if !want {
			code = opJNFLt
		}
	case token.LEQ:
		code = opJFLe
		if !want {
			code = opJNFLe
		}
	}
	g.branchTo(code, g.sOf(x), g.sOf(y), label)
}
