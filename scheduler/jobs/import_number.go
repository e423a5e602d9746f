package jobs

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"limbround/geo"
)

// parseNumber reads a plain decimal number. Grouping marks are refused: "1,200"
// is twelve hundred to one city and one and a fifth to another.
func parseNumber(s string, comma bool) (float64, error) {
	t := strings.TrimSpace(s)
	switch {
	case comma && strings.Contains(t, "."):
		return 0, errors.New("a point in a file with decimal commas (decimal_comma in the mapping)")
	case comma:
		t = strings.Replace(t, ",", ".", 1)
	case strings.Contains(t, ","):
		return 0, errors.New("a comma in a number; write no grouping mark, or say decimal_comma in the mapping")
	}
	for _, r := range t {
		if (r < '0' || r > '9') && !strings.ContainsRune("+-.eE", r) {
			if numberRange(t) {
				return 0, errors.New("a range, not one number; map it with values")
			}
			return 0, errors.New("not a number")
		}
	}
	v, err := strconv.ParseFloat(t, 64)
	switch {
	case err != nil && numberRange(t):
		return 0, errors.New("a range, not one number; map it with values")
	case err != nil || math.IsInf(v, 0) || math.IsNaN(v):
		return 0, errors.New("not a number")
	}
	return v, nil
}

// numberRange recognises "6-12", "6 - 12", "6 to 12", "> 30" and "30+".
func numberRange(s string) bool {
	s = strings.ReplaceAll(s, " to ", "-")
	a, b, ok := strings.Cut(strings.TrimLeft(s, "<>=~ "), "-")
	_, errA := strconv.ParseFloat(strings.TrimSpace(strings.TrimRight(a, "+")), 64)
	_, errB := strconv.ParseFloat(strings.TrimSpace(b), 64)
	return errA == nil && (ok && errB == nil || !ok && strings.ContainsAny(s, "<>+~="))
}

// parseLength reads a length: a bare number in units of mm millimetres each, or
// a number with its own unit ("12 in", `12"`, "12'", `11'6"`, "3.5 m", "40cm").
func parseLength(s string, mm float64, comma bool) (geo.Length, error) {
	t := strings.ToLower(strings.TrimSpace(s))
	v, err := 0.0, error(nil)
	if feet, inches, ok := strings.Cut(t, "'"); ok && strings.TrimSpace(inches) != "" && inches != "'" {
		v, err = feetInches(feet, inches, comma)
	} else {
		number := t
		for _, u := range []struct {
			suffix string
			mm     float64
		}{
			{"mm", 1},
			{"cm", 10},
			{"dm", 100},
			{"m", 1000},
			{"feet", 304.8},
			{"ft.", 304.8},
			{"ft", 304.8},
			{"inches", 25.4},
			{"inch", 25.4},
			{"in.", 25.4},
			{"in", 25.4},
			{`"`, 25.4},
			{"''", 25.4},
			{"'", 304.8},
		} {
			if n, ok := strings.CutSuffix(t, u.suffix); ok {
				number, mm = n, u.mm
				break
			}
		}
		v, err = parseNumber(number, comma)
		v *= mm
	}
	switch {
	case err != nil:
		return geo.None, err
	case v < 0:
		return geo.None, errors.New("a length is never negative")
	case v > 2e9:
		return geo.None, errors.New("no length is that large")
	}
	return geo.Length(math.Round(v)), nil
}

func feetInches(feet, inches string, comma bool) (mm float64, err error) {
	f, err := parseNumber(feet, comma)
	if err != nil {
		return 0, err
	}
	inches = strings.TrimSpace(inches)
	for _, suffix := range []string{`"`, "''", "inches", "in.", "in"} {
		if s, ok := strings.CutSuffix(inches, suffix); ok {
			inches = s
			break
		}
	}
	i, err := parseNumber(inches, comma)
	if err != nil {
		return 0, err
	}
	if f < 0 || i < 0 || i >= 12 {
		return 0, errors.New("feet and inches: the inches must be from 0 to below 12")
	}
	return f*304.8 + i*25.4, nil
}

// parseWhole reads a whole number, scaled by factor from the column's unit.
func parseWhole(s string, factor float64, comma bool) (int64, error) {
	v, err := parseNumber(s, comma)
	if err != nil {
		return 0, err
	}
	if factor == 1 && v != math.Trunc(v) {
		return 0, errors.New("not a whole number")
	}
	v = math.Round(v * factor)
	if math.Abs(v) > 1<<53 {
		return 0, errors.New("no number of this field is that large")
	}
	return int64(v), nil
}

// parseClock reads a time of day, "07:00" or "7:30 pm", as minutes after midnight.
func parseClock(s string) (int64, bool) {
	t := strings.ToLower(strings.TrimSpace(s))
	half := 0
	for suffix, h := range map[string]int{"am": 1, "pm": 2} {
		if r, ok := strings.CutSuffix(t, suffix); ok {
			t, half = strings.TrimSpace(r), h
		}
	}
	hs, ms, ok := strings.Cut(t, ":")
	h, errH := strconv.Atoi(hs)
	m, errM := strconv.Atoi(ms)
	if !ok || errH != nil || errM != nil || h < 0 || h > 23 || m < 0 || m > 59 || half != 0 && (h < 1 || h > 12) {
		return 0, false
	}
	switch half {
	case 1:
		h %= 12
	case 2:
		h = h%12 + 12
	}
	return int64(h*60 + m), true
}

// parseBool reads the usual words for yes and no.
func parseBool(s string) (bool, error) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "true", "t", "yes", "y", "1":
		return true, nil
	case "false", "f", "no", "n", "0":
		return false, nil
	}
	return false, fmt.Errorf("not yes or no (true, false, 1, 0, y, n)")
}
