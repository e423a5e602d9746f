package jobs

import (
	"strings"

	"limbround/geo/file"
	"limbround/scheduler"
)

// reader turns the features of one file into rows of its layer.
type reader struct {
	*plan
	today   scheduler.Date
	species *speciesMatcher // nil when the layer has no species
	mid     middle
	columns []string // of the last feature
	at      [][]int  // for each field, the indexes of its columns among them
	seen    map[string]bool
}

// locate finds the columns of the bindings; most files have the same columns
// in every feature, so this is done again only when they change.
func (r *reader) locate(columns []string) {
	if r.at != nil && len(columns) == len(r.columns) && (len(columns) == 0 || &columns[0] == &r.columns[0]) {
		return
	}
	r.columns, r.at = columns, make([][]int, len(r.fields))
	for i := range r.fields {
		for _, name := range r.fields[i].from {
			for j, c := range columns {
				if strings.EqualFold(c, name) {
					r.at[i] = append(r.at[i], j)
					r.seen[strings.ToLower(name)] = true
					break
				}
			}
		}
	}
}

// missing are the columns a mapping names that no feature had.
func (r *reader) missing() []string {
	var out []string
	for i := range r.fields {
		for _, name := range r.fields[i].from {
			if !r.seen[strings.ToLower(name)] {
				out = append(out, name)
			}
		}
	}
	return out
}

// raw is the text of field i in the feature, before any reading; absent values
// are empty.
func (r *reader) raw(i int, f *file.Feature) string {
	b := &r.fields[i]
	if b.konst != nil {
		return *b.konst
	}
	text := ""
	for _, j := range r.at[i] {
		if j >= len(f.Values) {
			continue
		}
		if v := strings.TrimSpace(f.Values[j]); v != "" {
			if text != "" {
				text += b.join
			}
			text += v
		}
	}
	return text
}

// word applies the binding's own table of words and of empty values.
func (b *binding) word(text string) string {
	if b.konst != nil || text == "" {
		return text
	}
	if len(b.values) == 0 && len(b.empty) <= 1 && b.rest == nil {
		return text // only the empty text is empty
	}
	key := strings.ToLower(text)
	if b.empty[key] {
		return ""
	}
	if w, ok := b.values[key]; ok {
		return w
	}
	if b.rest != nil {
		return *b.rest
	}
	return text
}

// noValue are words that stand for "nothing" in columns of numbers and dates,
// whatever the mapping says.
var noValue = map[string]bool{"null": true, "n/a": true, "na": true, "nan": true, "-": true}

// row reads one feature. With faults the row is not usable; all faults of the
// row are named.
func (r *reader) row(f *file.Feature) (scheduler.Row, []scheduler.Fault) {
	row := scheduler.Row{Line: f.Line, Values: make([]any, len(r.layer.Fields))}
	var faults []scheduler.Fault
	for _, p := range f.Problems {
		faults = append(faults, scheduler.Fault{Line: f.Line, Field: p.Field, Value: p.Value, Rule: p.Rule})
	}
	if len(faults) > 0 {
		return row, faults // its columns may be shifted: nothing further can be said about it
	}
	r.locate(f.Columns)
	for i := range r.layer.Fields {
		field, b := &r.layer.Fields[i], &r.fields[i]
		raw := r.raw(i, f)
		text := b.word(raw)
		if text != "" && field.Kind != scheduler.FieldText && field.Kind != scheduler.FieldEnum && noValue[strings.ToLower(text)] {
			text = ""
		}
		if text == "" {
			if field.Required {
				faults = append(faults, scheduler.Fault{Line: f.Line, Field: field.Name, Value: raw, Rule: "required"})
			}
			continue
		}
		v, rule := r.parse(field, b, text, r.today)
		if rule == "" && field.Name == "species" && r.species != nil {
			v.value, rule = r.species.find(v.value.(string))
		}
		if rule != "" {
			faults = append(faults, scheduler.Fault{Line: f.Line, Field: field.Name, Value: short(raw), Rule: rule})
			continue
		}
		row.Values[i] = v.value
		if v.precision != "" {
			r.coarsen(&row, field.Name, v.precision)
		}
	}
	faults = append(faults, r.place(f, &row)...)
	if check := rowRules[r.layer.Name]; check != nil {
		faults = append(faults, check(r.plan, &row, faults)...)
	}
	return row, faults
}

// coarsen writes the precision of a date beside it. A column of its own for
// the precision comes later in the layer and overrides.
func (r *reader) coarsen(row *scheduler.Row, date string, p scheduler.Precision) {
	if i := r.layer.Field(date + "_precision"); i >= 0 {
		row.Values[i] = string(p)
	}
}

// place reads and checks the row's shape.
func (r *reader) place(f *file.Feature, row *scheduler.Row) []scheduler.Fault {
	if r.layer.Geometry == scheduler.GeometryNone {
		return nil
	}
	s, faults := r.shape(f)
	if faults != nil {
		return faults
	}
	if value, rule := r.checkShape(s, r.mid); rule != "" {
		return []scheduler.Fault{{Line: f.Line, Field: "position", Value: value, Rule: rule}}
	}
	row.Shape = s
	return nil
}

// short keeps a value printable beside its rule.
func short(s string) string {
	if r := []rune(s); len(r) > 80 {
		return string(r[:80]) + "..."
	}
	return s
}
