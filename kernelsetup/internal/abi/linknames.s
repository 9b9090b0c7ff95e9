// This file has no code: its presence lets the compiler accept the functions
// of linknames.go, which have none either and are linked to package runtime's.
