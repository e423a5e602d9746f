package jobs

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"

	"limbround/geo/file"
	"limbround/scheduler"
)

// mapping is a mapping file: how the columns of one city's export become the
// fields of a layer. Every name that is not known is an error with its line.
type mapping struct {
	Layer    string            `yaml:"layer"`    // optional; must be the layer that is imported
	Format   mappingFormat     `yaml:"format"`   // what cannot be seen from the file
	CRS      int               `yaml:"crs"`      // EPSG code of the positions; 0 for longitude and latitude
	CityCRS  int               `yaml:"city_crs"` // EPSG code of the metric system of a new database
	Position *mappingPosition  `yaml:"position"` // columns with the position of a point
	Empty    []string          `yaml:"empty"`    // words that mean "no value" in every column
	Columns  map[string]column `yaml:"columns"`  // by field of the layer
	Species  map[string]string `yaml:"species"`  // the city's own names, to codes
}

type mappingFormat struct {
	Delimiter    string `yaml:"delimiter"`     // "," ";" "tab" "|"
	Encoding     string `yaml:"encoding"`      // utf-8, utf-16, cp1252
	Dates        string `yaml:"dates"`         // ymd, dmy, mdy, epoch_ms
	DecimalComma bool   `yaml:"decimal_comma"` // 12,5 is twelve and a half
}

type mappingPosition struct {
	X string `yaml:"x"`
	Y string `yaml:"y"`
}

// column says where the values of one field come from.
type column struct {
	From   names             `yaml:"from"`   // a column, or several that are joined
	Join   string            `yaml:"join"`   // between them; a blank when empty
	Unit   string            `yaml:"unit"`   // unit of a bare number
	Values map[string]string `yaml:"values"` // raw word to accepted word; "*" for every other
	Empty  []string          `yaml:"empty"`  // words that mean "no value" in this column
	Const  *string           `yaml:"const"`  // the same value for every row
}

// names is one name or a list of names.
type names []string

// UnmarshalYAML reads a scalar as a list of one.
func (n *names) UnmarshalYAML(read func(any) error) error {
	var one string
	if read(&one) == nil {
		*n = names{one}
		return nil
	}
	var many []string
	if err := read(&many); err != nil {
		return errors.New("from must be a column name or a list of column names")
	}
	*n = many
	return nil
}

const maxMapping = 1 << 20

// readMapping reads a mapping file; without a path it is the empty mapping.
func readMapping(path string) (*mapping, error) {
	if path == "" {
		return &mapping{}, nil
	}
	b, err := os.ReadFile(path)
	if err != nil {
		return nil, scheduler.Wrap(scheduler.Invalid, "read mapping", err)
	}
	m, err := parseMapping(b)
	if err != nil {
		return nil, scheduler.Wrap(scheduler.Invalid, "read mapping "+path, err)
	}
	return m, nil
}

// parseMapping decodes a mapping strictly; its errors carry line and column.
func parseMapping(b []byte) (*mapping, error) {
	if len(b) > maxMapping {
		return nil, fmt.Errorf("it is larger than %d bytes", maxMapping)
	}
	var m mapping
	if err := yaml.UnmarshalWithOptions(b, &m, yaml.Strict()); err != nil {
		return nil, errors.New(strings.TrimSpace(yaml.FormatError(err, false, true)))
	}
	at := func(path, format string, args ...any) error {
		return fmt.Errorf("%s%s", lineOf(b, path), fmt.Sprintf(format, args...))
	}
	if d := m.Format.Delimiter; d != "" && delimiter(d) == 0 {
		return nil, at("$.format.delimiter", `delimiter %q is not one of ",", ";", "tab", "|"`, d)
	}
	if e := file.Encoding(m.Format.Encoding); e != "" && e != file.UTF8 && e != file.UTF16 && e != file.CP1252 {
		return nil, at("$.format.encoding", "encoding %q is not one of utf-8, utf-16, cp1252", e)
	}
	if d := m.Format.Dates; d != "" && !slices.Contains(dateStyles, d) {
		return nil, at("$.format.dates", "dates %q is not one of %s", d, strings.Join(dateStyles, ", "))
	}
	if m.CRS < 0 || m.CityCRS < 0 {
		return nil, at("$.crs", "crs must be an EPSG code, such as 4326 or 25832")
	}
	if p := m.Position; p != nil && (p.X == "" || p.Y == "") {
		return nil, at("$.position", "position needs the names of both columns, x and y")
	}
	for field, c := range m.Columns {
		if (len(c.From) == 0) == (c.Const == nil) {
			return nil, at("$.columns."+field, "%s needs either from or const", field)
		}
	}
	return &m, nil
}

// lineOf gives "line N: " for the node at a YAML path, or nothing.
func lineOf(b []byte, path string) string {
	p, err := yaml.PathString(path)
	if err != nil {
		return ""
	}
	node, err := p.ReadNode(strings.NewReader(string(b)))
	if err != nil || node == nil || node.GetToken() == nil {
		return ""
	}
	return fmt.Sprintf("line %d: ", node.GetToken().Position.Line)
}

func delimiter(s string) rune {
	switch s {
	case ",", ";", "|", "\t":
		return rune(s[0])
	case "tab":
		return '\t'
	}
	return 0
}

// options are the reader's part of a mapping.
func (m *mapping) options() file.Options {
	return file.Options{
		Delimiter: delimiter(m.Format.Delimiter),
		Encoding:  file.Encoding(m.Format.Encoding),
		SRID:      m.CRS,
	}
}
