package scheduler

import "limbround/geo"

// FieldKind is the type of a field of an imported layer.
type FieldKind string

// The field kinds. Values arrive in a Row as: FieldText and FieldEnum string,
// FieldInt int64, FieldLength geo.Length, FieldDate Date, FieldBool bool,
// FieldNumber float64; nil for absent.
const (
	FieldText   FieldKind = "text"
	FieldEnum   FieldKind = "enum"
	FieldInt    FieldKind = "int"
	FieldNumber FieldKind = "number"
	FieldLength FieldKind = "length"
	FieldDate   FieldKind = "date"
	FieldBool   FieldKind = "bool"
)

// Field is one column of a layer. The name is also the column of its table.
type Field struct {
	Name     string
	Kind     FieldKind
	Required bool
	Unit     string   // canonical unit of a plain number in the layer's own files: "mm", "cm", "m", "km/h" ...
	Min, Max float64  // accepted range in the canonical unit; both zero means unbounded
	Enum     []string // accepted words of FieldEnum
	Default  any      // used when absent; nil for none
	Help     string
}

// GeometryKind is the shape of a layer's rows.
type GeometryKind string

// The geometry kinds.
const (
	GeometryNone  GeometryKind = "none"
	GeometryPoint GeometryKind = "point"
	GeometryLine  GeometryKind = "line"
	GeometryArea  GeometryKind = "area"
)

// Layer describes one kind of import: its name on the command line, its
// shape and its fields. Every layer has a unique text key, field "ref".
type Layer struct {
	Name     string
	Geometry GeometryKind
	Fields   []Field
}

// Field returns the index of the named field, -1 when the layer has none.
func (l *Layer) Field(name string) int {
	for i := range l.Fields {
		if l.Fields[i].Name == name {
			return i
		}
	}
	return -1
}

// Row is one accepted row of a layer: values in the order of Layer.Fields and
// the shape in the SRID of its source.
type Row struct {
	Line   int // line or feature number in the file, from 1
	Values []any
	Shape  geo.Shape
}
