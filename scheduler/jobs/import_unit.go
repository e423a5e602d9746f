package jobs

import (
	"maps"
	"math"
	"slices"
	"strings"

	"limbround/scheduler"
)

// lengthUnits are millimetres per unit. A circumference is turned into the
// diameter of a circle.
var lengthUnits = map[string]float64{
	"mm": 1, "cm": 10, "dm": 100, "m": 1000, "in": 25.4, "ft": 304.8,
	"circumference_mm": 1 / math.Pi, "circumference_cm": 10 / math.Pi, "circumference_m": 1000 / math.Pi,
	"circumference_in": 25.4 / math.Pi, "circumference_ft": 304.8 / math.Pi,
}

// numberUnits are the units a column of numbers may have, by the canonical
// unit of its field.
var numberUnits = map[string]map[string]float64{
	"km/h":               {"km/h": 1, "kmh": 1, "mph": 1.609344},
	"kg":                 {"kg": 1, "t": 1000, "lb": 0.45359237, "st": 907.18474}, // st: short ton of 2000 lb
	"l":                  {"l": 1, "m3": 1000, "yd3": 764.554857984, "ft3": 28.316846592},
	"min":                {"min": 1, "h": 60},
	"min after midnight": {"min after midnight": 1},
	"V":                  {"V": 1, "kV": 1000},
	"%":                  {"%": 1},
}

// unitsOf are the units that a column of the field may be in; nil for a field
// without unit.
func unitsOf(f *scheduler.Field) map[string]float64 {
	if f.Kind == scheduler.FieldLength {
		return lengthUnits
	}
	return numberUnits[f.Unit]
}

func unitNames(units map[string]float64) string {
	return strings.Join(slices.Sorted(maps.Keys(units)), ", ")
}

// baseName is the name of a field without the suffix of its stored unit: a
// column of that name is in the layer's own unit, Field.Unit.
func baseName(field string) string {
	for _, s := range []string{"_mm", "_kmh", "_kg", "_l", "_pct"} {
		if b, ok := strings.CutSuffix(field, s); ok {
			return b
		}
	}
	return field
}

// storedUnit is the unit in a field's own name: a column with exactly that
// name is in it.
func storedUnit(f *scheduler.Field) string {
	if f.Kind == scheduler.FieldLength {
		return "mm"
	}
	return f.Unit
}

// unitOfName is the unit that a column name states for a field, by the field's
// own name or a unit suffix ("dbh_in", "height_ft", "speed_mph").
func unitOfName(f *scheduler.Field, column string) (string, bool) {
	name := strings.ToLower(strings.TrimSpace(column))
	if name == f.Name {
		return storedUnit(f), unitsOf(f) != nil
	}
	i := strings.LastIndexByte(name, '_')
	if i < 0 {
		return "", false
	}
	if _, ok := unitsOf(f)[name[i+1:]]; !ok {
		return "", false
	}
	return name[i+1:], true
}

// cutUnit takes a unit off the end of a number: "35 mph", "10%", "1 h".
func cutUnit(f *scheduler.Field, s string) (number string, factor float64, ok bool) {
	longest := ""
	for name := range numberUnits[f.Unit] {
		if len(name) > len(longest) && len(s) > len(name) && strings.EqualFold(s[len(s)-len(name):], name) {
			longest = name
		}
	}
	if longest != "" {
		return s[:len(s)-len(longest)], numberUnits[f.Unit][longest], true
	}
	return s, 0, false
}
