package growth

import (
	"bytes"
	_ "embed"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"limbround/scheduler"
)

//go:embed curves.csv
var curvesCSV []byte

var columns = []string{"region", "scientific", "code", "kind", "age_min", "age_max", "dbh", "height", "crown", "crown_height"}

// kind parts the sets that must not stand in for one another.
type kind string

const (
	broadleaf kind = "broadleaf"
	conifer   kind = "conifer"
	palm      kind = "palm"
)

// set is the curves of one species in one climate region. A palm has height as
// a function of age and nothing else.
type set struct {
	region, name, code string
	kind               kind
	minAge, maxAge     float64
	dbh                rise // cm, of age
	height, crown      rise // m, of dbh in cm; a palm's height is of age
	crownHeight        equation
	printed            [4]equation // dbh, height, crown, crown_height as in the table
	upper              [4]float64  // their published values at the upper end
	scatter            [3]scatter  // of dbh, height and crown
}

// palmYears bounds the search for the age at which a palm reaches the end of
// its published heights; no ages are published.
const palmYears = 150

// parseTable reads a table in the shape of curves.csv. Every line with a fault
// is named, in one scheduler.Error of kind Invalid.
func parseTable(b []byte) ([]*set, error) {
	r := csv.NewReader(bytes.NewReader(b))
	r.Comment = '#'
	r.FieldsPerRecord = len(columns)
	var out []*set
	var faults []scheduler.Fault
	seen := map[string]bool{}
	for head := true; ; head = false {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, scheduler.Wrap(scheduler.Invalid, "read curve table", err)
		}
		if head {
			if !slices.Equal(row, columns) {
				return nil, scheduler.Errorf(scheduler.Invalid, "curve table: the first line names the columns %s", strings.Join(columns, ","))
			}
			continue
		}
		s, field, err := parseSet(row)
		key := s.region + " " + s.name
		if err == nil && seen[key] {
			field, err = "scientific", fmt.Errorf("repeats the species of an earlier line")
		}
		seen[key] = true
		if err != nil {
			line, _ := r.FieldPos(0)
			faults = append(faults, scheduler.Fault{Line: line, Field: field, Value: row[slices.Index(columns, field)], Rule: err.Error()})
			continue
		}
		out = append(out, s)
	}
	if len(faults) > 0 {
		e := scheduler.Errorf(scheduler.Invalid, "curve table: %s", faults[0])
		e.Fields = faults
		return nil, e
	}
	return out, nil
}

// parseSet reads one line; with an error it names the column at fault.
func parseSet(row []string) (*set, string, error) {
	s := &set{region: row[0], name: row[1], code: row[2], kind: kind(row[3])}
	if s.region == "" || s.name == "" || s.code == "" {
		return s, "scientific", fmt.Errorf("region, species and code are required")
	}
	switch s.kind {
	case palm:
		return s.parsePalm(row)
	case broadleaf, conifer:
	default:
		return s, "kind", fmt.Errorf("want broadleaf, conifer or palm")
	}
	var err error
	if s.minAge, err = number(row[4]); err != nil || s.minAge < 0 {
		return s, "age_min", fmt.Errorf("want an age in years")
	}
	if s.maxAge, err = number(row[5]); err != nil || s.maxAge <= s.minAge || s.maxAge > 1000 {
		return s, "age_max", fmt.Errorf("want an age in years, above age_min")
	}
	var ends [4][2]float64
	for i := range s.printed {
		if s.printed[i], ends[i], err = parseCell(row[6+i]); err != nil {
			return s, columns[6+i], err
		}
	}
	for i := range ends {
		s.upper[i] = ends[i][1]
	}
	lo, hi := ends[0][0], ends[0][1]
	for i, at := range [4][2]float64{{s.minAge, s.maxAge}, {lo, hi}, {lo, hi}, {lo, hi}} {
		eq := s.printed[i].restore(at[1], ends[i][1])
		if !finite(&eq, at[0], at[1]) {
			return s, columns[6+i], fmt.Errorf("has no finite value somewhere in its range")
		}
		switch i {
		case 0:
			s.dbh = newRise(eq, at[0], at[1], ends[0])
		case 1:
			s.height = newRise(eq, at[0], at[1], ends[1])
		case 2:
			s.crown = newRise(eq, at[0], at[1], ends[2])
		default:
			s.crownHeight = eq
		}
	}
	return s, "", nil
}

func (s *set) parsePalm(row []string) (*set, string, error) {
	eq, ends, err := parseCell(row[7])
	if err != nil {
		return s, "height", err
	}
	if !finite(&eq, 0, palmYears) {
		return s, "height", fmt.Errorf("has no finite value somewhere in its range")
	}
	s.printed[1] = eq
	s.height = newRise(eq, 0, palmYears, ends)
	s.height.ceil, s.height.top = ends[1], min(s.height.top, ends[1])
	s.maxAge = s.height.inverse(min(ends[1], s.height.at(palmYears)))
	return s, "", nil
}

func finite(eq *equation, lo, hi float64) bool {
	for i := range samples + 1 {
		y := eq.at(lo + (hi-lo)*float64(i)/samples)
		if math.IsNaN(y) || math.Abs(y) > 1e9 {
			return false
		}
	}
	return true
}
