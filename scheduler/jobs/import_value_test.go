package jobs

import (
	"math"
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

func TestParseNumber(t *testing.T) {
	for _, tc := range []struct {
		in    string
		comma bool
		want  float64
		rule  string
	}{
		{"12", false, 12, ""},
		{" -1.5e2 ", false, -150, ""},
		{"12,5", true, 12.5, ""},
		{"12.5", true, 0, "a point in a file with decimal commas"},
		{"1,200", false, 0, "a comma in a number"},
		{"6-12", false, 0, "a range"},
		{"6 to 12", false, 0, "a range"},
		{">30", false, 0, "a range"},
		{"30+", false, 0, "a range"},
		{"twelve", false, 0, "not a number"},
		{"NaN", false, 0, "not a number"},
		{"1e999", false, 0, "not a number"},
		{"0x10", false, 0, "not a number"},
		{"", false, 0, "not a number"},
		{"1_000", false, 0, "not a number"},
	} {
		got, err := parseNumber(tc.in, tc.comma)
		if (err == nil) != (tc.rule == "") || err != nil && !strings.Contains(err.Error(), tc.rule) || got != tc.want {
			t.Errorf("%q: %v, %v; want %v, %q", tc.in, got, err, tc.want, tc.rule)
		}
	}
}

func TestParseLength(t *testing.T) {
	for _, tc := range []struct {
		in   string
		unit string
		want geo.Length
		rule string
	}{
		{"12", "in", 305, ""},
		{"12.5", "cm", 125, ""},
		{"94.2", "circumference_cm", 300, ""},
		{"12 in", "cm", 305, ""},
		{`12"`, "cm", 305, ""},
		{"12 inches", "cm", 305, ""},
		{"12'", "cm", 3658, ""},
		{`12' 6"`, "cm", 3810, ""},
		{"12'6", "cm", 3810, ""},
		{"3.5 m", "cm", 3500, ""},
		{"40CM", "m", 400, ""},
		{"40 ft.", "m", 12192, ""},
		{"0", "cm", 0, ""},
		{"-1", "cm", geo.None, "never negative"},
		{`5' 14"`, "cm", geo.None, "below 12"},
		{"5 furlongs", "cm", geo.None, "not a number"},
		{"1e9", "m", geo.None, "that large"},
		{"'", "m", geo.None, "not a number"},
	} {
		got, err := parseLength(tc.in, lengthUnits[tc.unit], false)
		if (err == nil) != (tc.rule == "") || err != nil && !strings.Contains(err.Error(), tc.rule) || got != tc.want {
			t.Errorf("%q in %s: %d, %v; want %d, %q", tc.in, tc.unit, got, err, tc.want, tc.rule)
		}
	}
}

func TestParseWholeAndUnits(t *testing.T) {
	streets, _ := scheduler.LayerNamed("streets")
	crews, _ := scheduler.LayerNamed("crews")
	p := &plan{}
	for _, tc := range []struct {
		layer scheduler.Layer
		field string
		unit  string
		in    string
		want  int64
		rule  string
	}{
		{streets, "speed_kmh", "", "50", 50, ""},
		{streets, "speed_kmh", "mph", "25", 40, ""},
		{streets, "speed_kmh", "", "35 mph", 56, ""},
		{streets, "speed_kmh", "", "50.5", 0, "not a whole number"},
		{streets, "speed_kmh", "", "500", 0, "outside 5 to 130 km/h"},
		{streets, "max_weight_kg", "t", "7.5", 7500, ""},
		{streets, "max_weight_kg", "", "10 st", 9072, ""},
		{streets, "lanes", "", "2.0", 2, ""},
		{crews, "shift_start", "", "07:30", 450, ""},
		{crews, "shift_start", "", "12:15 am", 15, ""},
		{crews, "shift_start", "", "1:00 PM", 780, ""},
		{crews, "shift_start", "", "25:00", 0, "not a number"},
		{crews, "truck_chips_l", "yd3", "16", 12233, ""},
	} {
		f := &tc.layer.Fields[tc.layer.Field(tc.field)]
		var b binding
		if err := b.setUnit(f, tc.unit); err != nil {
			t.Fatal(err)
		}
		v, rule := p.parse(f, &b, tc.in, testToday)
		if tc.rule == "" && (rule != "" || v.value != tc.want) || !strings.Contains(rule, tc.rule) {
			t.Errorf("%s %q: %v, %q; want %v, %q", tc.field, tc.in, v.value, rule, tc.want, tc.rule)
		}
	}
}

func TestParseBoolAndEnum(t *testing.T) {
	for in, want := range map[string]bool{"Yes": true, "t": true, "1": true, "N": false, "FALSE": false, "0": false} {
		if got, err := parseBool(in); err != nil || got != want {
			t.Errorf("%q: %v, %v", in, got, err)
		}
	}
	if _, err := parseBool("maybe"); err == nil {
		t.Error("maybe was read as yes or no")
	}
	f := &scheduler.Field{Kind: scheduler.FieldEnum, Enum: []string{"city", "private", "state_road"}}
	for in, want := range map[string]string{"City": "city", "State road": "state_road", "state-road": "state_road"} {
		if v, rule := parseEnum(f, in); rule != "" || v.value != want {
			t.Errorf("%q: %v, %q", in, v.value, rule)
		}
	}
	if _, rule := parseEnum(f, "privat"); !strings.Contains(rule, "did you mean private?") {
		t.Error(rule)
	}
}

// A length out of range that makes sense in another unit says so.
func TestWrongUnitIsNamed(t *testing.T) {
	trees, _ := scheduler.LayerNamed("trees")
	height := &trees.Fields[trees.Field("height_mm")]
	var b binding
	if err := b.setUnit(height, "m"); err != nil {
		t.Fatal(err)
	}
	p := &plan{}
	if _, rule := p.parse(height, &b, "85", testToday); !strings.Contains(rule, "in feet it would be 25.91 m: are these numbers in feet?") {
		t.Error(rule)
	}
	if _, rule := p.parse(height, &b, "9000000", testToday); strings.Contains(rule, "are these") {
		t.Error("a number that makes sense in no unit got a hint:", rule)
	}
}

func TestParseTextRefusesWhatIsNone(t *testing.T) {
	p := &plan{}
	ref := &scheduler.Field{Name: "ref", Kind: scheduler.FieldText}
	if v, rule := p.parseText(ref, "  a \t b "); rule != "" || v.value != "a b" {
		t.Errorf("%v, %q", v.value, rule)
	}
	for _, in := range []string{strings.Repeat("x", maxRef+1), "a\x07b", "a\ufffdb"} {
		if _, rule := p.parseText(ref, in); rule == "" {
			t.Errorf("%.10q was accepted", in)
		}
	}
}

// Whatever the text, a parsed value is in range or there is a rule.
func FuzzValues(f *testing.F) {
	for _, s := range []string{"12", "12,5", `11'6"`, "1e309", "0x1", "3 May 2014", "winter 2013/14", "2/30/2019", "-", "'", "''", "1'\"", "99999999999999999999", "٣"} {
		f.Add(s, true)
		f.Add(s, false)
	}
	trees, _ := scheduler.LayerNamed("trees")
	crews, _ := scheduler.LayerNamed("crews")
	f.Fuzz(func(t *testing.T, s string, comma bool) {
		for _, style := range append([]string{""}, dateStyles...) {
			p := &plan{comma: comma, dates: style}
			for _, layer := range []scheduler.Layer{trees, crews} {
				for i := range layer.Fields {
					field := &layer.Fields[i]
					var b binding
					if err := b.setUnit(field, field.Unit); err != nil && field.Unit != "" {
						t.Fatal(err)
					}
					v, rule := p.parse(field, &b, s, testToday)
					if rule != "" {
						continue
					}
					switch x := v.value.(type) {
					case geo.Length:
						if float64(x) < field.Min || float64(x) > field.Max {
							t.Fatalf("%s: %q is %v", field.Name, s, x)
						}
					case scheduler.Date:
						if x > testToday || x.Year() < oldestYear || v.precision == "" {
							t.Fatalf("%s: %q is %v, known to the %q", field.Name, s, x, v.precision)
						}
					case float64:
						if math.IsNaN(x) {
							t.Fatal(s)
						}
					case nil:
						t.Fatalf("%s: %q has neither value nor rule", field.Name, s)
					}
				}
			}
		}
	})
}
