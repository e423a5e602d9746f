package storetest

import (
	"fmt"
	"maps"
	"reflect"
	"slices"

	"limbround/geo"
	"limbround/scheduler"
)

// judgeItems says what the rows of a plain layer would make: a field that the
// file leaves out stays what it is, and of a new row what the layer says.
func (s *state) judgeItems(layer *scheduler.Layer, rows []judged) {
	for i := range rows {
		j := &rows[i]
		if layer.Name == "crews" {
			s.readCrew(j)
		}
		have, known := s.itemNamed(layer.Name, j.ref)
		it := have
		it.layer, it.ref, it.at, it.f = layer.Name, j.ref, j.at, maps.Clone(have.f)
		if !known {
			it.f = f{}
		}
		for _, field := range layer.Fields {
			if v, there := j.f[field.Name]; there {
				it.f[field.Name] = v
			} else if _, there := it.f[field.Name]; !there && field.Default != nil {
				it.f[field.Name] = standing(field.Name, field.Default)
			}
		}
		if known && !reflect.DeepEqual(have.at, it.at) {
			it.version++
		}
		switch j.item = it; {
		case len(j.faults) > 0:
			j.verdict = "fault"
		case !known:
			j.verdict = "new"
		case reflect.DeepEqual(have.f, it.f) && reflect.DeepEqual(have.at, it.at):
			j.verdict = "unchanged"
		default:
			j.verdict = "changed"
			j.changes = differences(j, have.f, it.f)
		}
	}
}

// differences lists the fields that a row changes, by name.
func differences(j *judged, before, after f) (out []scheduler.Change) {
	shown := func(v any) string {
		if l, ok := v.(geo.Length); ok && l.Known() {
			return fmt.Sprint(int(l))
		} else if ok || v == nil {
			return ""
		}
		return fmt.Sprint(v)
	}
	for _, name := range slices.Sorted(maps.Keys(after)) {
		if a, b := shown(before[name]), shown(after[name]); a != b {
			out = append(out, scheduler.Change{Line: j.line, Ref: j.ref, Field: name, Before: a, After: b})
		}
	}
	return out
}

func sumUp(rows []judged) scheduler.Diff {
	var d scheduler.Diff
	sortBy(rows, func(j *judged) []any { return []any{j.line} })
	for i := range rows {
		j := &rows[i]
		switch j.verdict {
		case "new":
			d.New++
		case "changed":
			d.Changed++
		case "unchanged":
			d.Unchanged++
		case "merged":
			d.Merged++
			d.MergedInto = append(d.MergedInto, scheduler.Merge{Line: j.line, Ref: j.ref, Into: j.into, Why: j.why})
		}
		sortBy(j.faults, func(x *scheduler.Fault) []any { return []any{x.Field, x.Rule} })
		d.Faults = append(d.Faults, j.faults...)
		d.Examples = append(d.Examples, j.changes...)
	}
	return d
}

// given are the fields that a row says something about.
func given(l *scheduler.Layer, r *scheduler.Row) f {
	m := f{}
	for i, v := range r.Values {
		if v == nil || v == geo.None || v == scheduler.Date(0) {
			continue
		}
		m[l.Fields[i].Name] = v
	}
	return m
}
