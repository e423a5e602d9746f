package jobs

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"limbround/geo/file"
	"limbround/scheduler"
)

// Propose drafts a mapping for a file by looking at its first thousand rows.
// Nothing of it is taken over silently: the draft is text for a person to read,
// each guess carries a comment, and what must be looked at says CHECK.
func Propose(w io.Writer, layerName, path string, today scheduler.Date) error {
	layer, ok := scheduler.LayerNamed(layerName)
	if !ok {
		return noLayer(layerName)
	}
	s, enc, err := sampleAnyEncoding(path)
	if err != nil {
		return scheduler.Wrap(scheduler.Invalid, "propose a mapping for "+path, err)
	}
	d := draft{layer: layer, s: s, taken: map[string]bool{}, today: today}
	d.line("# A draft, made from the first %d rows. Read every line; look hard at those with CHECK.", len(s.features))
	d.line("layer: %s", layer.Name)
	d.format(enc)
	d.position()
	d.columns()
	d.species()
	_, err = io.WriteString(w, d.b.String())
	return err
}

// sampleAnyEncoding tries the encodings until the text makes sense.
func sampleAnyEncoding(path string) (s sample, used file.Encoding, err error) {
	s, err = takeSample(path, file.Options{}, sampleSize)
	if err == nil && !slices.ContainsFunc(s.features, badText) {
		return s, "", nil
	}
	for _, e := range []file.Encoding{file.UTF16, file.CP1252} {
		if t, errE := takeSample(path, file.Options{Encoding: e}, sampleSize); errE == nil && len(t.columns) > 1 {
			return t, e, nil
		}
	}
	return s, "", err
}

func badText(f file.Feature) bool {
	return slices.ContainsFunc(f.Problems, func(p file.Problem) bool { return strings.Contains(p.Rule, "UTF-8") })
}

// draft is a mapping in the making.
type draft struct {
	b       strings.Builder
	layer   scheduler.Layer
	s       sample
	taken   map[string]bool
	today   scheduler.Date
	matched string // the column of the species
}

func (d *draft) line(format string, args ...any) {
	fmt.Fprintf(&d.b, format+"\n", args...)
}

// values are the distinct non-empty values of a column, in order of appearance.
func (d *draft) values(column string) []string {
	var out []string
	seen := map[string]bool{}
	for i := range d.s.features {
		if v := strings.TrimSpace(d.s.features[i].Value(column)); v != "" && !seen[v] {
			seen[v] = true
			out = append(out, v)
		}
	}
	return out
}

func (d *draft) format(enc file.Encoding) {
	var lines []string
	if enc != "" {
		lines = append(lines, fmt.Sprintf("  encoding: %s # the text is not UTF-8; CHECK that names with accents read well", enc))
	}
	var dates, numbers []string
	for i := range d.layer.Fields {
		f := &d.layer.Fields[i]
		c, _ := guessColumn(f, d.s.columns, nil)
		switch {
		case c == "":
		case f.Kind == scheduler.FieldDate:
			dates = append(dates, d.values(c)...)
		case f.Kind == scheduler.FieldLength:
			numbers = append(numbers, d.values(c)...)
		}
	}
	if style, unclear := guessDates(dates); style != "" {
		lines = append(lines, fmt.Sprintf("  dates: %s # every date in the sample fits", style))
	} else if unclear {
		lines = append(lines, "  # dates: dmy # CHECK: day and month cannot be told apart; choose dmy or mdy")
	}
	if x, y := guessPosition(d.s.columns); x != "" {
		numbers = append(append(numbers, d.values(x)...), d.values(y)...)
	}
	if decimalComma(numbers) {
		lines = append(lines, "  decimal_comma: true # numbers such as 12,5")
	}
	if len(lines) > 0 {
		d.line("format:\n%s", strings.Join(lines, "\n"))
	}
}

func (d *draft) position() {
	if d.layer.Geometry != scheduler.GeometryPoint || d.s.shapes {
		return
	}
	x, y := guessPosition(d.s.columns)
	if x == "" {
		d.line("# CHECK: no columns look like a position\n# position: {x: ..., y: ...}")
		return
	}
	d.taken[x], d.taken[y] = true, true
	d.line("position: {x: %s, y: %s}", strconv.Quote(x), strconv.Quote(y))
	if crs := guessCRS(numbersOf(d.values(x)), numbersOf(d.values(y))); crs != 0 {
		d.line("crs: %d # longitude and latitude, from the size of the numbers", crs)
	} else {
		d.line("crs: 0 # CHECK: a projected system; write its EPSG code here")
	}
}

func (d *draft) columns() {
	d.line("columns:")
	for i := range d.layer.Fields {
		f := &d.layer.Fields[i]
		c, sure := guessColumn(f, d.s.columns, d.taken)
		if c == "" {
			if f.Required {
				d.line("  # CHECK: no column looks like the required field %s (%s)\n  # %s: {from: ...}", f.Name, f.Help, f.Name)
			}
			continue
		}
		d.taken[c] = true
		note := "the same name"
		if !sure {
			note = "CHECK: guessed from the column's name"
		}
		d.line("  %s: # %s", f.Name, note)
		d.line("    from: %s", strconv.Quote(c))
		d.field(f, c)
	}
	for _, c := range d.s.columns {
		if !d.taken[c] {
			d.line("  # not used: %s", strconv.Quote(c))
		}
	}
}

// field writes what else a field needs: its unit, its words.
func (d *draft) field(f *scheduler.Field, c string) {
	values := d.values(c)
	switch {
	case f.Kind == scheduler.FieldLength:
		ns := numbersOf(values)
		unit, why := guessUnit(f, c, ns)
		d.line("    unit: %s # %s", unit, why)
		if len(ns) > 0 && ns[0] == 0 {
			d.line(`    empty: ["0"] # CHECK: zero seems to mean that nobody measured`)
		}
	case f.Kind == scheduler.FieldEnum:
		d.words(f, values)
	case f.Name == "species":
		d.matched = c
	}
}

const maxWords = 40 // values listed for a person to translate

func (d *draft) words(f *scheduler.Field, values []string) {
	var unknown []string
	for _, v := range values {
		if _, rule := parseEnum(f, v); rule != "" {
			unknown = append(unknown, v)
		}
	}
	if len(unknown) == 0 {
		return
	}
	d.line("    values: # CHECK: each word becomes one of %s, or \"\" for none", strings.Join(f.Enum, ", "))
	for i, v := range unknown {
		if i == maxWords {
			d.line("      # and %d more", len(unknown)-maxWords)
			return
		}
		word := enumWords[f.Name][strings.ToLower(v)]
		if near := nearest(strings.ToLower(v), f.Enum, 1); word == "" && near != nil {
			word = near[0]
		}
		d.line("      %s: %s # CHECK", strconv.Quote(v), strconv.Quote(word))
	}
}

// species lists the names that no known species has, as lines to fill in.
func (d *draft) species() {
	if d.matched == "" {
		return
	}
	list, err := scheduler.SpeciesTable()
	if err != nil {
		d.line("# the species table cannot be read: %v", err)
		return
	}
	m, err := newSpeciesMatcher(list, nil)
	if err != nil {
		return // without aliases there is nothing it could refuse
	}
	n := 0
	for _, v := range d.values(d.matched) {
		_, rule := m.find(v)
		if rule == "" {
			continue
		}
		if n++; n == 1 {
			d.line("# CHECK: names that no built-in species has; write a code behind each, or add the species\n# species:")
		}
		if n <= maxWords {
			d.line("#   %s: ... # %s", strconv.Quote(v), rule)
		}
	}
}
