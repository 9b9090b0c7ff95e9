package help

// builtins describes Go's built-in functions: signature and use.
var builtins = map[string][2]string{
	"append":  {"func append(slice []Type, elems ...Type) []Type", "append adds elements to the end of a slice and returns the slice, which may have moved: s = append(s, x)."},
	"cap":     {"func cap(v Type) int", "cap returns how many elements fit into a slice, array or channel before it must grow."},
	"clear":   {"func clear(t Type)", "clear removes all entries of a map, or sets all elements of a slice to zero."},
	"close":   {"func close(c chan<- Type)", "close says that nothing more will be sent on a channel. Receivers get what is left, then zero values."},
	"complex": {"func complex(r, i FloatType) ComplexType", "complex makes a complex number of a real and an imaginary part."},
	"copy":    {"func copy(dst, src []Type) int", "copy copies elements from src to dst and returns how many: the length of the shorter one."},
	"delete":  {"func delete(m map[Type]Type1, key Type)", "delete removes a key of a map; a key that is not there is no error."},
	"imag":    {"func imag(c ComplexType) FloatType", "imag returns the imaginary part of a complex number."},
	"len":     {"func len(v Type) int", "len returns the number of elements of a slice, array, map or channel, and the number of bytes of a string."},
	"make":    {"func make(t Type, size ...IntegerType) Type", "make creates a slice (length, capacity), a map, or a channel (buffer size)."},
	"max":     {"func max[T cmp.Ordered](x T, y ...T) T", "max returns the largest argument; NaN where one is NaN."},
	"min":     {"func min[T cmp.Ordered](x T, y ...T) T", "min returns the smallest argument; NaN where one is NaN."},
	"new":     {"func new(Type) *Type", "new returns a pointer to a new zero value of a type, or to a copy of a value."},
	"panic":   {"func panic(v any)", "panic stops the normal run. Deferred functions still run, and one of them may recover."},
	"print":   {"func print(args ...Type)", "print writes to the error output, for debugging only; use fmt.Print."},
	"println": {"func println(args ...Type)", "println writes a line to the error output, for debugging only; use fmt.Println."},
	"real":    {"func real(c ComplexType) FloatType", "real returns the real part of a complex number."},
	"recover": {"func recover() any", "recover, called in a deferred function, stops a panic and returns its value; nil where there is none."},
}
