package jobs

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"limbround/geo"
	"limbround/scheduler"
)

// Longest texts that are accepted, in runes. A longer one is a shifted column
// or a whole file in a broken quote.
const (
	maxRef  = 100
	maxText = 2000
)

// parsed is one value of a field and, for a date, how exactly it is known.
type parsed struct {
	value     any // as scheduler.Row wants it; nil for absent
	precision scheduler.Precision
}

// parse turns a raw text into a value of the field. rule is the rule it breaks.
func (p *plan) parse(f *scheduler.Field, b *binding, raw string, today scheduler.Date) (v parsed, rule string) {
	switch f.Kind {
	case scheduler.FieldText:
		return p.parseText(f, raw)
	case scheduler.FieldEnum:
		return parseEnum(f, raw)
	case scheduler.FieldInt:
		return p.parseInt(f, b, raw)
	case scheduler.FieldNumber:
		n, err := parseNumber(raw, p.comma)
		if err != nil {
			return v, err.Error()
		}
		n *= b.factor
		return parsed{value: n}, outside(f, n)
	case scheduler.FieldLength:
		return p.parseLength(f, b, raw)
	case scheduler.FieldDate:
		d, prec, err := parseDate(raw, p.dates, today)
		if err != nil {
			return v, err.Error()
		}
		return parsed{value: d, precision: prec}, ""
	case scheduler.FieldBool:
		x, err := parseBool(raw)
		if err != nil {
			return v, err.Error()
		}
		return parsed{value: x}, ""
	}
	return v, fmt.Sprintf("field kind %q has no reader", f.Kind)
}

func (p *plan) parseText(f *scheduler.Field, raw string) (v parsed, rule string) {
	limit := maxText
	if f.Name == "ref" || strings.HasSuffix(f.Name, "_ref") {
		limit = maxRef
	}
	s := strings.Join(strings.Fields(raw), " ")
	if n := utf8.RuneCountInString(s); n > limit {
		return v, fmt.Sprintf("%d characters long, at most %d are accepted", n, limit)
	}
	for _, r := range s {
		if unicode.IsControl(r) || r == unicode.ReplacementChar {
			return v, "it holds a character that is no text; is the encoding right?"
		}
	}
	return parsed{value: s}, ""
}

func parseEnum(f *scheduler.Field, raw string) (v parsed, rule string) {
	word := strings.ToLower(strings.Join(strings.FieldsFunc(raw, func(r rune) bool { return r == ' ' || r == '-' || r == '_' }), "_"))
	for _, e := range f.Enum {
		if e == word {
			return parsed{value: e}, ""
		}
	}
	rule = "not one of " + strings.Join(f.Enum, ", ")
	if near := nearest(word, f.Enum, 1); near != nil {
		return v, rule + "; did you mean " + near[0] + "?"
	}
	return v, rule + "; map it with values in a mapping"
}

func (p *plan) parseInt(f *scheduler.Field, b *binding, raw string) (v parsed, rule string) {
	if f.Unit == "min after midnight" {
		if n, ok := parseClock(raw); ok {
			return parsed{value: n}, outside(f, float64(n))
		}
	}
	number, factor, ok := cutUnit(f, raw)
	if !ok {
		factor = b.factor
	}
	n, err := parseWhole(number, factor, p.comma)
	if err != nil {
		return v, err.Error()
	}
	return parsed{value: n}, outside(f, float64(n))
}

func (p *plan) parseLength(f *scheduler.Field, b *binding, raw string) (v parsed, rule string) {
	l, err := parseLength(raw, b.factor, p.comma)
	if err != nil {
		return v, err.Error()
	}
	rule = outside(f, float64(l))
	if rule == "" {
		return parsed{value: l}, ""
	}
	// The commonest cause of a length out of range is the wrong unit: say so
	// when the same number makes sense in another one.
	for _, u := range otherUnits[b.unit] {
		other, err := parseLength(raw, lengthUnits[u], p.comma)
		if err == nil && other != l && outside(f, float64(other)) == "" {
			return v, fmt.Sprintf("%s; in %s it would be %s: are these numbers in %s?", rule, unitWords[u], other, unitWords[u])
		}
	}
	return v, rule
}

// otherUnits are the units a number is often really in, when it was taken for
// the key.
var otherUnits = map[string][]string{
	"m": {"ft", "cm"}, "ft": {"m", "in"}, "cm": {"mm", "in"}, "mm": {"in", "cm"}, "in": {"mm", "cm"},
	"circumference_m": {"circumference_cm"}, "circumference_cm": {"circumference_mm"},
}

var unitWords = map[string]string{
	"ft": "feet", "in": "inches", "m": "metres", "cm": "centimetres", "mm": "millimetres",
	"circumference_cm": "centimetres of circumference", "circumference_mm": "millimetres of circumference",
}

// outside is the rule for a number out of the field's range.
func outside(f *scheduler.Field, v float64) string {
	if f.Min == 0 && f.Max == 0 || v >= f.Min && v <= f.Max {
		return ""
	}
	if f.Kind == scheduler.FieldLength {
		return fmt.Sprintf("%s is outside %s to %s", geo.Length(v), geo.Length(f.Min), geo.Length(f.Max))
	}
	return strings.TrimSpace(fmt.Sprintf("outside %g to %g %s", f.Min, f.Max, f.Unit))
}
