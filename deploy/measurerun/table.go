package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"
)

// printTable prints a line for each step: for each city the seconds, the peak
// memory of the program and of the database's processes, and how the seconds
// grow from one size to the next, as the exponent of a power of the number of trees.
func printTable(w io.Writer, all []*ledger) {
	if len(all) == 0 {
		return
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	head := []string{"step"}
	for i, l := range all {
		head = append(head, fmt.Sprintf("%d trees: s", l.trees), "MiB", "server MiB")
		if i > 0 {
			head = append(head, "growth")
		}
	}
	line(t, head)
	for _, name := range all[len(all)-1].names {
		row := []string{name}
		for i, l := range all {
			c, ok := l.costs[name]
			if !ok {
				row = append(row, "-", "-", "-")
			} else {
				row = append(row, fmt.Sprintf("%.2f", c.seconds), fmt.Sprintf("%d", c.peak>>20), fmt.Sprintf("%d", c.server>>20))
			}
			if i > 0 {
				row = append(row, growth(all[i-1], l, name))
			}
		}
		line(t, row)
	}
	_ = t.Flush() // to the same writer as the lines below, whose failure shows there
	for _, l := range all {
		l.summary(w)
	}
}

func line(w io.Writer, cells []string) { fmt.Fprintln(w, strings.Join(cells, "\t")+"\t") }

func growth(a, b *ledger, name string) string {
	x, y := a.costs[name].seconds, b.costs[name].seconds
	if x <= 0 || y <= 0 || a.trees == b.trees {
		return "-"
	}
	return fmt.Sprintf("n^%.2f", math.Log(y/x)/math.Log(float64(b.trees)/float64(a.trees)))
}

// summary prints the ratios to the baselines, the sizes and the notes of one city.
func (l *ledger) summary(w io.Writer) {
	s := func(name string) float64 { return l.costs[name].seconds }
	out, in := s("COPY out of what due reads"), s("COPY in of the visits")
	fmt.Fprintf(w, "\n%d trees\n", l.trees)
	fmt.Fprintf(w, "  import of trees: %.2f times the bare COPY into the same tables\n", s("import of trees")/s("bare COPY of the same trees"))
	fmt.Fprintf(w, "  due, first pass: %.2f times COPY out + COPY in\n", s("due, first pass")/(out+in))
	fmt.Fprintf(w, "  due, unchanged: %.2f times COPY out; looking at every tree again %.2f times\n", s("due, unchanged")/out, s("due, unchanged, every tree")/out)
	fmt.Fprintf(w, "  database: %s after the trees, %s after the history, %s after due, %s at the end\n",
		mib(l.sizes["trees"]), mib(l.sizes["history"]), mib(l.sizes["due"]), mib(l.sizes["all"]))
	for _, n := range l.notes {
		fmt.Fprintln(w, "  "+n)
	}
}

func mib(n int64) string { return fmt.Sprintf("%d MiB", n>>20) }

// note keeps the plain figures of an answer, without its lists.
func (l *ledger) note(name string, answer []byte) {
	var all map[string]any
	if json.Unmarshal(answer, &all) != nil {
		return // an answer that is a list has nothing to sum up
	}
	var parts []string
	for _, k := range []string{"planned", "carried_over", "hours", "packets", "stops", "bound_minutes"} {
		if v, ok := all[k].(float64); ok {
			parts = append(parts, fmt.Sprintf("%s %.0f", k, v))
		}
	}
	if total, ok := all["total"].(map[string]any); ok {
		parts = append(parts, fmt.Sprintf("overdue %v of %v trees", total["trees_overdue"], total["trees"]))
	}
	if len(parts) > 0 {
		l.notes = append(l.notes, name+": "+strings.Join(parts, ", "))
	}
}
