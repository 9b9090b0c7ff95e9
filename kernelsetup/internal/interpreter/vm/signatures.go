package vm

import (
	"go/types"

	"golang.org/x/tools/go/ssa"
)

// funcLayout returns where a function's results and parameters are. A
// method's receiver comes after its parameters, so that calls through
// interfaces need not know how large it is.
func (m *Machine) funcLayout(fn *ssa.Function) *sigLayout {
	sl := &sigLayout{variadic: fn.Signature.Variadic(), recv: fn.Signature.Recv() != nil}
	m.addResults(sl, fn.Signature)
	params := make([]types.Type, 0, len(fn.Params)+1)
	if len(fn.Params) > 0 {
		for _, p := range fn.Params {
			params = append(params, p.Type())
		}
	} else { // nothing of it has been built
		if r := fn.Signature.Recv(); r != nil {
			params = append(params, r.Type())
		}
		for i := range fn.Signature.Params().Len() {
			params = append(params, fn.Signature.Params().At(i).Type())
		}
	}
	m.addParams(sl, params, fn.Signature.Recv() != nil)
	return sl
}

// sigLayoutOf returns the window of a call through a func value or, without
// its receiver, through an interface.
func (m *Machine) sigLayoutOf(sig *types.Signature) *sigLayout {
	if sl, ok := m.sigs.At(sig).(*sigLayout); ok {
		return sl
	}
	sl := &sigLayout{variadic: sig.Variadic()}
	m.addResults(sl, sig)
	var params []types.Type
	for i := range sig.Params().Len() {
		params = append(params, sig.Params().At(i).Type())
	}
	m.addParams(sl, params, false)
	m.sigs.Set(sig, sl)
	return sl
}

func (m *Machine) addResults(sl *sigLayout, sig *types.Signature) {
	for i := range sig.Results().Len() {
		sl.results = append(sl.results, sl.next(m.layoutOf(sig.Results().At(i).Type())))
	}
	sl.resS, sl.resP = sl.endS, sl.endP
	sl.gives = writersIn(sl.results)
}

func (m *Machine) addParams(sl *sigLayout, params []types.Type, recv bool) {
	sl.params = make([]fieldSlots, len(params))
	for i, t := range params {
		if i > 0 || !recv {
			sl.params[i] = sl.next(m.layoutOf(t))
		}
	}
	if recv {
		sl.params[0] = sl.next(m.layoutOf(params[0]))
	}
	sl.takes = writersIn(sl.params)
}

func (sl *sigLayout) next(l *layout) fieldSlots {
	f := fieldSlots{sl.endS, sl.endP, l}
	sl.endS += l.nS
	sl.endP += l.nP
	return f
}

// writersIn finds the writers among parameters or results.
func writersIn(fields []fieldSlots) (at []writerAt) {
	for _, f := range fields {
		if kind := f.layout.writer; kind != noWriter {
			at = append(at, writerAt{int32(f.s * 8), int32(f.p * 8), kind == manyWriters})
		}
	}
	return at
}
