package repl

import (
	"fmt"
	"html"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/memory"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// answer answers a cell that asks about the notebook.
func (ev *Evaluator) answer(question string) execution.Outcome {
	switch question {
	case "list variables":
		return execution.Outcome{Result: ev.variables()}
	case "list running":
		return execution.Outcome{Result: ev.running()}
	}
	lines := ev.Release()
	if len(lines) == 0 {
		lines = []string{"nothing was running"}
	}
	return execution.Outcome{Result: notebook.TextBundle(strings.Join(lines, "\n"))}
}

func (ev *Evaluator) variables() notebook.Bundle {
	rows := [][]string{{"name", "type", "size", "value"}}
	for _, v := range ev.interpreter.Variables() {
		size := memory.Text(uint64(v.Size))
		if v.More {
			size = "≥ " + size
		}
		rows = append(rows, []string{v.Name, short(v.Type, 40), size, short(v.Value, 80)})
	}
	if len(rows) == 1 {
		return notebook.TextBundle("there are no variables")
	}
	return tableOf(rows)
}

func (ev *Evaluator) running() notebook.Bundle {
	rows := [][]string{{"cell", "running", "for", "processor time"}}
	for _, r := range ev.left() {
		since, used := "", ""
		if !r.since.IsZero() {
			since, used = span(time.Since(r.since)), span(r.processor)
		}
		rows = append(rows, []string{r.cell, r.what, since, used})
	}
	if len(rows) == 1 {
		return notebook.TextBundle("nothing is running")
	}
	return tableOf(rows)
}

// span words a time.
func span(d time.Duration) string {
	switch {
	case d < time.Second:
		return fmt.Sprintf("%d ms", d.Milliseconds())
	case d < time.Minute:
		return fmt.Sprintf("%.1f s", d.Seconds())
	case d < time.Hour:
		return fmt.Sprintf("%d min %d s", int(d.Minutes()), int(d.Seconds())%60)
	}
	return fmt.Sprintf("%d h %d min", int(d.Hours()), int(d.Minutes())%60)
}

// tableOf writes rows, the first of them the heading, as text and as HTML.
func tableOf(rows [][]string) notebook.Bundle {
	var text, page strings.Builder
	w := tabwriter.NewWriter(&text, 0, 0, 2, ' ', 0)
	page.WriteString("<table>")
	for i, row := range rows {
		fmt.Fprintln(w, strings.Join(row, "\t"))
		tag := "td"
		if i == 0 {
			tag = "th"
		}
		page.WriteString("<tr>")
		for _, c := range row {
			fmt.Fprintf(&page, "<%s style=\"text-align:left\">%s</%s>", tag, html.EscapeString(c), tag)
		}
		page.WriteString("</tr>")
	}
	page.WriteString("</table>")
	w.Flush()
	lines := strings.Split(strings.TrimRight(text.String(), "\n"), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	b := notebook.TextBundle(strings.Join(lines, "\n"))
	b[notebook.MIMEHTML] = page.String()
	return b
}
