package file

import (
	"strconv"
	"strings"
)

// streetTags turns the tags of a way into the values of streetColumns after
// ref. ok is false for a way that no crew drives to a street tree: motorways,
// footways, tracks, service ways other than alleys, areas and private roads.
// Tag meanings are those of the OpenStreetMap wiki's pages on each key. A
// value that cannot be read is left empty: the way still carries its street.
func streetTags(tag func(key string) string) (values []string, ok bool) {
	class := streetClass(tag("highway"), tag("service"))
	if class == "" || tag("area") == "yes" {
		return nil, false
	}
	if a := tag("access"); (a == "no" || a == "private") && tag("motor_vehicle") != "yes" {
		return nil, false
	}
	return []string{
		tag("name"), class, oneWay(tag), whole(speedKmh(tag("maxspeed")), 5, 130),
		whole(lengthMm(tag("width")), 2000, 60000), lanes(tag("lanes")), parking(tag),
		yes(tag("hgv") == "designated"), yes(bridge(tag("bridge"))),
		whole(lengthMm(tag("maxheight")), 1500, 10000), whole(weightKg(tag("maxweight")), 500, 80000),
	}, true
}

func streetClass(highway, service string) string {
	switch strings.TrimSuffix(highway, "_link") {
	case "trunk", "primary", "secondary":
		return "arterial"
	case "tertiary":
		return "collector"
	case "residential", "unclassified", "living_street":
		return "residential"
	case "service":
		if service == "alley" {
			return "alley"
		}
	}
	return ""
}

func oneWay(tag func(string) string) string {
	switch tag("oneway") {
	case "yes", "true", "1":
		return "forward"
	case "-1", "reverse":
		return "backward"
	case "no", "false", "0":
		return "no"
	}
	if j := tag("junction"); j == "roundabout" || j == "circular" {
		return "forward"
	}
	return "no"
}

// parking reads both the older parking:lane:SIDE and the newer parking:SIDE
// keys. Only parking that takes up road width counts.
func parking(tag func(string) string) string {
	lane := func(side string) bool {
		for _, s := range []string{side, "both"} {
			switch tag("parking:lane:" + s) {
			case "parallel", "diagonal", "perpendicular", "marked":
				return true
			}
			switch tag("parking:" + s) {
			case "lane", "street_side", "half_on_kerb", "yes":
				return true
			}
		}
		return false
	}
	left, right := lane("left"), lane("right")
	switch {
	case left && right:
		return "both"
	case left:
		return "left"
	case right:
		return "right"
	}
	return "none"
}

func bridge(v string) bool { return v != "" && v != "no" }

func yes(b bool) string { return strconv.FormatBool(b) }

func lanes(v string) string {
	n, err := strconv.Atoi(v)
	if err != nil {
		return ""
	}
	return whole(float64(n), 1, 12)
}

// whole prints v as a whole number, or nothing outside the range that a
// street can have.
func whole(v float64, lowest, highest float64) string {
	if !(v >= lowest && v <= highest) {
		return ""
	}
	return strconv.Itoa(int(v + 0.5))
}
