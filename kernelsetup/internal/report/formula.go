package report

import (
	"html"
	"strings"
	"unicode/utf8"
)

// formula turns a formula in TeX notation into HTML that can be read without
// a typesetter: Greek letters, indices, exponents and fractions. What it does
// not know stays as it was written.
func formula(tex string) string {
	f := formulaReader{rest: strings.TrimSpace(tex)}
	return f.until("")
}

type formulaReader struct{ rest string }

// until reads up to the closing text, which it takes away.
func (f *formulaReader) until(end string) string {
	var b strings.Builder
	for f.rest != "" {
		if end != "" && strings.HasPrefix(f.rest, end) {
			f.rest = f.rest[len(end):]
			return b.String()
		}
		b.WriteString(f.item())
	}
	return b.String()
}

// item reads one thing: a group, a command, an index, or a character.
func (f *formulaReader) item() string {
	c := f.rest[0]
	switch c {
	case '{':
		f.rest = f.rest[1:]
		return f.until("}")
	case '^':
		f.rest = f.rest[1:]
		return "<sup>" + f.argument() + "</sup>"
	case '_':
		f.rest = f.rest[1:]
		return "<sub>" + f.argument() + "</sub>"
	case '\\':
		return f.command()
	case '~':
		f.rest = f.rest[1:]
		return " "
	case '-':
		f.rest = f.rest[1:]
		return "−"
	case '&':
		f.rest = f.rest[1:]
		return ""
	}
	_, n := utf8.DecodeRuneInString(f.rest)
	s := f.rest[:n]
	f.rest = f.rest[n:]
	return html.EscapeString(s)
}

func (f *formulaReader) argument() string {
	f.rest = strings.TrimLeft(f.rest, " ")
	if f.rest == "" {
		return ""
	}
	return f.item()
}

func (f *formulaReader) command() string {
	n := 1
	for n < len(f.rest) && isLetter(f.rest[n]) {
		n++
	}
	if n == 1 { // an escaped or spacing character
		n = min(2, len(f.rest))
		c := f.rest[1:n]
		f.rest = f.rest[n:]
		switch c {
		case ",", ";", ":", " ":
			return " "
		case "!":
			return ""
		case "\\":
			return "<br>"
		}
		return html.EscapeString(c)
	}
	name := f.rest[1:n]
	f.rest = f.rest[n:]
	// A space that only ends the name goes, one before a sign stays.
	if len(f.rest) > 1 && f.rest[0] == ' ' && (isLetter(f.rest[1]) || f.rest[1] == '\\' || f.rest[1] == '{') {
		f.rest = f.rest[1:]
	}
	if s, ok := symbols[name]; ok {
		return s
	}
	switch name {
	case "frac", "dfrac", "tfrac":
		return "(" + f.argument() + ")/(" + f.argument() + ")"
	case "sqrt":
		return "√(" + f.argument() + ")"
	case "mathrm", "text", "mathbf", "mathit", "operatorname", "textrm":
		return `<span class="upright">` + f.argument() + "</span>"
	case "bar", "overline":
		return f.argument() + "\u0304"
	case "hat":
		return f.argument() + "\u0302"
	case "dot":
		return f.argument() + "\u0307"
	case "left", "right", "big", "Big", "displaystyle", "quad", "qquad", "limits":
		if strings.HasPrefix(name, "q") {
			return "  "
		}
		return ""
	case "begin", "end":
		f.argument()
		return ""
	}
	return html.EscapeString(`\` + name)
}

func isLetter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' }

var symbols = map[string]string{
	"alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "epsilon": "ε", "varepsilon": "ε", "zeta": "ζ",
	"eta": "η", "theta": "θ", "vartheta": "ϑ", "kappa": "κ", "lambda": "λ", "mu": "μ", "nu": "ν", "xi": "ξ",
	"pi": "π", "rho": "ρ", "sigma": "σ", "tau": "τ", "phi": "φ", "varphi": "φ", "chi": "χ", "psi": "ψ", "omega": "ω",
	"Gamma": "Γ", "Delta": "Δ", "Theta": "Θ", "Lambda": "Λ", "Xi": "Ξ", "Pi": "Π", "Sigma": "Σ", "Phi": "Φ",
	"Psi": "Ψ", "Omega": "Ω",
	"cdot": "·", "times": "×", "pm": "±", "mp": "∓", "div": "÷", "le": "≤", "leq": "≤", "ge": "≥", "geq": "≥",
	"ne": "≠", "neq": "≠", "approx": "≈", "sim": "∼", "simeq": "≃", "propto": "∝", "equiv": "≡", "ll": "≪", "gg": "≫",
	"infty": "∞", "partial": "∂", "nabla": "∇", "sum": "∑", "prod": "∏", "int": "∫", "to": "→", "rightarrow": "→",
	"Rightarrow": "⇒", "leftarrow": "←", "in": "∈", "circ": "°", "degree": "°", "ldots": "…", "dots": "…", "cdots": "⋯",
	"exp": "exp", "ln": "ln", "log": "log", "sin": "sin", "cos": "cos", "tan": "tan", "min": "min", "max": "max",
	"langle": "⟨", "rangle": "⟩", "mid": "|", "prime": "′",
}
