package scheduler

import (
	"bytes"
	_ "embed"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"limbround/geo"
)

//go:embed species.csv
var speciesCSV []byte

var speciesColumns = []string{
	"code", "scientific", "common", "synonyms", "habit", "decay", "ice", "ice_source", "wet_snow", "leaf_snow",
	"droop_mm", "mature_height_mm", "height_source", "growth", "basal_sprouts", "sanitation", "closed_group",
	"small_ratio",
}

// SpeciesTable returns the built-in species traits in the order of their
// codes. The sources of its figures are named at the head of species.csv; a
// city may replace any line.
func SpeciesTable() ([]Species, error) { return ParseSpecies(speciesCSV) }

// ParseSpecies reads a table in the shape of species.csv: lines that start
// with # are comments, the first other line names the columns. Every fault is
// reported with its line, in one Error of kind Invalid.
func ParseSpecies(b []byte) ([]Species, error) {
	r := csv.NewReader(bytes.NewReader(b))
	r.Comment = '#'
	r.FieldsPerRecord = len(speciesColumns)
	var faults []Fault
	var out []Species
	seen := map[string]string{}
	for head := true; ; head = false {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, Wrap(Invalid, "read species table", err)
		}
		if head {
			if !slices.Equal(row, speciesColumns) {
				return nil, Errorf(Invalid, "species table: the first line names the columns %s", strings.Join(speciesColumns, ","))
			}
			continue
		}
		s, bad := speciesRow(row)
		for _, key := range []string{s.Code, strings.ToLower(s.Scientific)} {
			if other, twice := seen[key]; twice {
				bad = append(bad, Fault{Field: "code", Value: s.Code, Rule: "repeats the key " + strconv.Quote(key) + " of " + other})
			}
			seen[key] = s.Code
		}
		for _, f := range bad {
			f.Line, _ = r.FieldPos(0)
			faults = append(faults, f)
		}
		out = append(out, s)
	}
	if len(faults) > 0 {
		return nil, &Error{Kind: Invalid, Message: fmt.Sprintf("species table: %d faults", len(faults)), Fields: faults}
	}
	slices.SortFunc(out, func(a, b Species) int { return strings.Compare(a.Code, b.Code) })
	return out, nil
}

func speciesRow(row []string) (Species, []Fault) {
	var bad []Fault
	get := func(name string) string { return strings.TrimSpace(row[slices.Index(speciesColumns, name)]) }
	word := func(name string, ok ...string) string {
		v := get(name)
		if !slices.Contains(ok, v) {
			bad = append(bad, Fault{Field: name, Value: v, Rule: "want one of: " + strings.Join(ok, ", ")})
		}
		return v
	}
	text := func(name string) string {
		v := get(name)
		if v == "" {
			bad = append(bad, Fault{Field: name, Rule: "is required"})
		}
		return v
	}
	length := func(name string, lo, hi int) geo.Length {
		n, err := strconv.Atoi(get(name))
		if err != nil || n < lo || n > hi {
			bad = append(bad, Fault{Field: name, Value: get(name), Rule: fmt.Sprintf("want whole millimetres from %d to %d", lo, hi)})
		}
		return geo.Length(n)
	}
	rating := func(name string) Rating { return Rating(word(name, "", "low", "medium", "high")) }
	s := Species{
		Code: text("code"), Scientific: text("scientific"), Common: text("common"),
		Habit: GrowthHabit(word("habit", "excurrent", "decurrent", "conifer", "columnar", "weeping", "multi_stem", "palm", "pollard", "small")),
		Decay: DecayClass(word("decay", "strong", "average", "weak")),
		Ice:   rating("ice"), WetSnow: rating("wet_snow"), LeafSnow: rating("leaf_snow"),
		Droop: length("droop_mm", 0, 3000), MatureHeight: length("mature_height_mm", 1000, 60000),
		Growth: word("growth", "slow", "moderate", "fast"), Sanitation: get("sanitation"), ClosedGroup: text("closed_group"),
	}
	s.Sprouts = word("basal_sprouts", "yes", "no") == "yes"
	if s.ClosedGroup == "none" {
		s.ClosedGroup = ""
	}
	if v := get("small_ratio"); v != "" {
		n, err := strconv.ParseFloat(v, 64)
		if err != nil || !(n >= 0.2 && n <= 0.9) {
			bad = append(bad, Fault{Field: "small_ratio", Value: v, Rule: "want a ratio from 0.2 to 0.9, or nothing"})
		}
		s.SmallRatio = n
	}
	if v := get("synonyms"); v != "" {
		for name := range strings.SplitSeq(v, ";") {
			s.Synonyms = append(s.Synonyms, strings.TrimSpace(name))
		}
	}
	if (s.Ice == "") != (get("ice_source") == "") {
		bad = append(bad, Fault{Field: "ice_source", Value: get("ice_source"), Rule: "a rating and its source stand together"})
	}
	return s, bad
}
