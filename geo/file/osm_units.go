package file

import (
	"math"
	"strconv"
	"strings"
)

// The default units are km/h, metres and metric tons; others are written
// behind the number ("35 mph", "11'6\"", "8 st"). Each function gives NaN for
// what it cannot read.

// number splits a value into its number and the lower-case unit behind it.
func number(s string) (v float64, unit string) {
	s = strings.TrimSpace(s)
	i := strings.IndexFunc(s, func(r rune) bool { return (r < '0' || r > '9') && r != '.' })
	if i < 0 {
		i = len(s)
	}
	v, err := strconv.ParseFloat(s[:i], 64)
	if err != nil {
		return math.NaN(), ""
	}
	return v, strings.ToLower(strings.TrimSpace(s[i:]))
}

func speedKmh(s string) float64 {
	v, unit := number(s)
	switch unit {
	case "", "km/h", "kmh", "kph":
		return v
	case "mph":
		return v * 1.609344
	}
	return math.NaN()
}

func lengthMm(s string) float64 {
	v, unit := number(s)
	switch unit {
	case "", "m":
		return v * 1000
	case "cm":
		return v * 10
	case "ft", "feet", "'":
		return v * 304.8
	case "in", `"`:
		return v * 25.4
	}
	if rest, ok := strings.CutPrefix(unit, "'"); ok { // 11'6"
		if inches, u := number(rest); (u == `"` || u == "" || u == "''") && inches < 12 {
			return v*304.8 + inches*25.4
		}
	}
	return math.NaN()
}

func weightKg(s string) float64 {
	v, unit := number(s)
	switch unit {
	case "", "t":
		return v * 1000
	case "kg":
		return v
	case "st": // short ton
		return v * 907.18474
	case "lbs", "lb":
		return v * 0.45359237
	}
	return math.NaN()
}
