package scheduler

import (
	"slices"
	"strconv"
	"strings"

	"limbround/geo"
)

// The single rules of policy_check.go. Each refuses a path at most once; a
// path that did not decode keeps the decoder's own fault.

func (d *policyDecoder) text(path, s string) {
	switch _, present := d.lines[path]; {
	case s == "" && strings.HasSuffix(path, "source"):
		d.refuse(path, "", "is required: where the figures come from, or \"common practice\"")
	case s == "" && present:
		d.refuse(path, "", "is empty")
	case s == "":
		d.refuse(path, "", "is required")
	case len(s) > 400:
		d.refuse(path, "", "has %d bytes, at most 400", len(s))
	}
}

func (d *policyDecoder) number(path string, n, lo, hi int) {
	if d.has(path) && (n < lo || n > hi) {
		d.refuse(path, strconv.Itoa(n), "want a whole number from %d to %d", lo, hi)
	}
}

func (d *policyDecoder) figure(path string, f, lo, hi float64) {
	if d.has(path) && (f < lo || f > hi) {
		d.refuse(path, strconv.FormatFloat(f, 'g', -1, 64), "want a number from %g to %g", lo, hi)
	}
}

// option is number for a figure that may be left out.
func (d *policyDecoder) option(path string, n, lo, hi int) {
	if d.given(path) {
		d.number(path, n, lo, hi)
	}
}

// length reports whether the path is given and within its range.
func (d *policyDecoder) length(path string, l, lo, hi geo.Length) bool {
	if !d.has(path) {
		return false
	}
	if l < lo || l > hi {
		d.refuse(path, l.String(), "want a length from %s to %s", lo, hi)
		return false
	}
	return true
}

// has refuses a path that the file lacks. Absence is no zero: a forgotten
// figure must not turn into a rule.
func (d *policyDecoder) has(path string) bool {
	if _, present := d.lines[path]; !present {
		d.refuse(path, "", "is required")
	}
	return d.given(path)
}

func (d *policyDecoder) notBelow(path string, l geo.Length, than string, m geo.Length) {
	if d.given(path) && d.given(than) && l < m {
		d.refuse(path, l.String(), "is less than %s (%s)", than[strings.LastIndexByte(than, '.')+1:], m)
	}
}

func (d *policyDecoder) height(path string, h HeightRule) {
	d.length(path+".legal", h.Legal, 1500, 10000)
	d.length(path+".act_at", h.ActAt, 1500, 10000)
	d.length(path+".clear_to", h.ClearTo, 1500, 10000)
	d.notBelow(path+".act_at", h.ActAt, path+".legal", h.Legal)
	d.notBelow(path+".clear_to", h.ClearTo, path+".act_at", h.ActAt)
	d.text(path+".source", h.Source)
}

func (d *policyDecoder) span(path string, from, to MonthDay) {
	if from == (MonthDay{}) {
		d.refuse(path+".from", "", "is required: a day of the year such as 11-01")
	}
	if to == (MonthDay{}) {
		d.refuse(path+".to", "", "is required: a day of the year such as 03-31, the last of the span")
	}
}

// overlap reports whether two spans of the year, each of which may cross New
// Year, share a day: one of them then holds the first day of the other.
func overlap(a, b MonthSpan) bool { return spanHolds(a, b.From) || spanHolds(b, a.From) }

func spanHolds(s MonthSpan, d MonthDay) bool {
	from, to, day := s.From.Number(), s.To.Number(), d.Number()
	if from <= to {
		return from <= day && day <= to
	}
	return day >= from || day <= to
}

func word[T ~string](d *policyDecoder, path string, w T, ok []T) {
	if !slices.Contains(ok, w) {
		d.refuse(path, string(w), "want one of: %s", words(ok))
	}
}

// once is word for the key of a list in which every word stands once.
func once[T ~string](d *policyDecoder, path string, w T, ok, before []T) {
	word(d, path, w, ok)
	if slices.Contains(before, w) {
		d.refuse(path, string(w), "stands in the list twice")
	}
}

// complete refuses a list that lacks one of the words: a street class or a
// work kind without figures would be planned as free.
func complete[T ~string](d *policyDecoder, path string, want, got []T) {
	var missing []T
	for _, w := range want {
		if !slices.Contains(got, w) {
			missing = append(missing, w)
		}
	}
	if len(missing) > 0 {
		d.refuse(path, "", "lacks: %s", words(missing))
	}
}

func words[T ~string](ws []T) string {
	out := make([]string, len(ws))
	for i, w := range ws {
		out[i] = string(w)
	}
	return strings.Join(out, ", ")
}
