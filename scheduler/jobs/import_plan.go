package jobs

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"limbround/scheduler"
)

// binding says where one field of the layer comes from in this file.
type binding struct {
	from   []string
	join   string
	unit   string  // for messages
	factor float64 // stored units per unit of a bare number
	values map[string]string
	rest   *string // the word for every other raw value
	empty  map[string]bool
	konst  *string
}

func (b *binding) bound() bool { return b.konst != nil || len(b.from) > 0 }

// plan is a mapping made ready for one layer.
type plan struct {
	layer   scheduler.Layer
	fields  []binding // in the order of layer.Fields
	x, y    string    // position columns, empty when the file has shapes
	srid    int
	cityCRS int
	dates   string
	comma   bool
	aliases map[string]string // species name in lower case to code
}

// newPlan checks a mapping against the layer and the columns of the file.
// columns are those of the file, or of a sample of it when each feature has
// its own (fixed is false then, and a missing column is no error yet).
func newPlan(m *mapping, layer scheduler.Layer, columns []string, fixed, shapes bool) (*plan, error) {
	if m.Layer != "" && m.Layer != layer.Name {
		return nil, fmt.Errorf("the mapping is for layer %q, not %q", m.Layer, layer.Name)
	}
	p := &plan{
		layer: layer, fields: make([]binding, len(layer.Fields)), srid: m.CRS, cityCRS: m.CityCRS,
		dates: m.Format.Dates, comma: m.Format.DecimalComma, aliases: map[string]string{},
	}
	for name, code := range m.Species {
		p.aliases[foldName(name)] = code
	}
	if p.srid == 0 {
		p.srid = 4326
	}
	if len(m.Columns) == 0 {
		if err := p.bindByName(columns); err != nil {
			return nil, err
		}
	}
	for _, name := range slices.Sorted(maps.Keys(m.Columns)) {
		if err := p.bind(name, m.Columns[name], columns, fixed); err != nil {
			return nil, err
		}
	}
	for i := range p.fields {
		for _, w := range append(slices.Clone(m.Empty), "") {
			if p.fields[i].empty == nil {
				p.fields[i].empty = map[string]bool{}
			}
			p.fields[i].empty[strings.ToLower(strings.TrimSpace(w))] = true
		}
	}
	if err := p.position(m, columns, fixed, shapes); err != nil {
		return nil, err
	}
	return p, p.complete(fixed)
}

// bind makes the binding that the mapping states for one field.
func (p *plan) bind(name string, c column, columns []string, fixed bool) error {
	i := p.layer.Field(name)
	for j := range p.layer.Fields {
		if i < 0 && baseName(p.layer.Fields[j].Name) == name {
			i = j
		}
	}
	if i < 0 {
		return fmt.Errorf("columns: layer %s has no field %q; it has %s", p.layer.Name, name, p.fieldNames())
	}
	f := &p.layer.Fields[i]
	if p.fields[i].bound() {
		return fmt.Errorf("columns: field %s is given twice", f.Name)
	}
	b := binding{from: c.From, join: c.Join, konst: c.Const, values: map[string]string{}, empty: map[string]bool{}}
	if b.join == "" {
		b.join = " "
	}
	for _, from := range c.From {
		if fixed && !containsFold(columns, from) {
			return fmt.Errorf("columns: %s comes from column %q, which the file does not have; it has %s", name, from, strings.Join(columns, ", "))
		}
	}
	for raw, word := range c.Values {
		if raw == "*" {
			b.rest = &word
			continue
		}
		b.values[strings.ToLower(strings.TrimSpace(raw))] = word
	}
	for _, w := range c.Empty {
		b.empty[strings.ToLower(strings.TrimSpace(w))] = true
	}
	unit := c.Unit
	if unit == "" && len(c.From) > 0 {
		unit, _ = unitOfName(f, c.From[0])
	}
	if unit == "" && f.Kind == scheduler.FieldLength {
		if c.Const == nil {
			return fmt.Errorf("columns: %s needs the unit of column %q: one of %s", name, strings.Join(c.From, ", "), unitNames(lengthUnits))
		}
		unit = storedUnit(f)
	}
	if err := b.setUnit(f, unit); err != nil {
		return fmt.Errorf("columns: %s: %w", name, err)
	}
	p.fields[i] = b
	return nil
}

func (b *binding) setUnit(f *scheduler.Field, unit string) error {
	b.factor, b.unit = 1, unit
	if unit == "" {
		b.unit = f.Unit
		return nil
	}
	units := unitsOf(f)
	factor, ok := units[unit]
	switch {
	case units == nil:
		return fmt.Errorf("field %s has no unit", f.Name)
	case !ok:
		return fmt.Errorf("unit %q is not one of %s", unit, unitNames(units))
	}
	b.factor = factor
	return nil
}

// bindByName binds each column whose name is a field's name (in the stored
// unit), the name without the unit (in the layer's unit), or the name with
// another unit behind it.
func (p *plan) bindByName(columns []string) error {
	for i := range p.layer.Fields {
		f := &p.layer.Fields[i]
		base := baseName(f.Name)
		for _, c := range columns {
			name := strings.ToLower(strings.TrimSpace(c))
			unit := f.Unit
			if name != base {
				u, ok := unitOfName(f, c)
				if !ok || name != f.Name && name != base+"_"+u {
					continue
				}
				unit = u
			} else if name == f.Name {
				unit = storedUnit(f)
			}
			if p.fields[i].bound() {
				return fmt.Errorf("columns %q and %q both stand for field %s; use a mapping to choose", p.fields[i].from[0], c, f.Name)
			}
			b := binding{from: []string{c}}
			if err := b.setUnit(f, unit); err != nil && unit != f.Unit {
				return err
			}
			p.fields[i] = b
		}
	}
	return nil
}

// complete refuses a file that cannot give a required field.
func (p *plan) complete(fixed bool) error {
	any := false
	for i := range p.fields {
		f := &p.layer.Fields[i]
		any = any || p.fields[i].bound()
		if fixed && f.Required && !p.fields[i].bound() {
			return fmt.Errorf("no column gives the required field %s (%s); name one in a mapping, or let --propose draft one", f.Name, f.Help)
		}
	}
	if !any {
		return errors.New("no column of the file is a field of the layer (" + p.fieldNames() + "); use a mapping, or let --propose draft one")
	}
	return nil
}

func (p *plan) fieldNames() string {
	var out []string
	for _, f := range p.layer.Fields {
		out = append(out, f.Name)
	}
	return strings.Join(out, ", ")
}

// ignored lists the columns that nothing reads.
func (p *plan) ignored(columns []string) []string {
	var out []string
	for _, c := range columns {
		used := strings.EqualFold(c, p.x) || strings.EqualFold(c, p.y)
		for i := range p.fields {
			used = used || containsFold(p.fields[i].from, c)
		}
		if !used {
			out = append(out, c)
		}
	}
	return out
}

func containsFold(list []string, s string) bool {
	return slices.ContainsFunc(list, func(x string) bool { return strings.EqualFold(x, s) })
}
