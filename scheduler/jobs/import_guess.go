package jobs

import (
	"slices"
	"strconv"
	"strings"

	"limbround/scheduler"
)

// fieldWords are column names that public inventories use for a field, without
// case and punctuation. The first match wins, so the more telling names come
// first.
var fieldWords = map[string][]string{
	"ref":             {"treeid", "tag", "tagnumber", "inventoryid", "assetid", "facilityid", "baumnr", "baumnummer", "baumid", "objectid", "globalid", "uniqueid", "id", "fid", "nr"},
	"species":         {"spclatin", "botanicalname", "botanical", "scientificname", "latinname", "speciesbotanical", "speciescode", "sppcode", "species", "artbotan", "wisstext", "commonname", "spccommon", "common", "baumart", "art"},
	"state":           {"status", "treestatus", "sitestatus", "condition"},
	"owner":           {"ownership", "maintainedby"},
	"address":         {"streetaddress", "siteaddress", "fulladdress", "location", "onstreet", "street", "strasse", "straße"},
	"planted":         {"planteddate", "plantdate", "plantingdate", "dateplanted", "yearplanted", "plantyear", "pflanzjahr", "planted"},
	"caliper_mm":      {"caliper", "calipersize"},
	"dbh_mm":          {"dbhin", "dbhcm", "treedbh", "diameterbreastheight", "diameter", "trunkdiameter", "stammumfang", "stumfang", "circumference", "girth"},
	"height_mm":       {"treeheight", "heightft", "heightm", "höhe", "hoehem", "baumhoehe", "hgt"},
	"crown_spread_mm": {"crownspread", "crownwidth", "canopyspread", "crowndiameter", "kronedm", "kronendm", "kronem", "kronendurchmesser", "spread", "crown"},
	"measured_on":     {"inspected", "inspectiondate", "surveydate", "inventorydate", "dateinventoried", "lastinspected", "createdat", "updated"},
	"stems":           {"numstems", "stemcount", "trunks", "numberofstems"},
	"vigour":          {"health", "vigor", "treecondition"},
	"name":            {"fullname", "streetname", "stname", "label", "district", "section"},
	"class":           {"functionalclass", "roadclass", "streetclass", "type", "linetype"},
	"one_way":         {"oneway", "direction"},
	"speed_kmh":       {"speedlimit", "postedspeed", "maxspeed", "speedmph", "speed"},
	"width_mm":        {"streetwidth", "roadwidth", "walkwidth", "pavementwidth", "widthft"},
	"volts":           {"voltage", "kv"},
	"kind":            {"signtype", "worktype", "activity", "task"},
	"tree_ref":        {"treeid", "treetag", "tag", "assetid", "baumnr"},
	"done_on":         {"workdate", "datecompleted", "completed", "completeddate", "date", "dateofwork", "donedate"},
	"by_whom":         {"crew", "contractor", "completedby", "workedby"},
	"note":            {"notes", "comments", "remarks"},
	"minutes":         {"duration", "mins"},
}

// enumWords are words of public inventories and what they mean in an enum
// field; each still gets a CHECK.
var enumWords = map[string]map[string]string{
	"state": {
		"good": "alive", "fair": "alive", "poor": "alive", "excellent": "alive", "living": "alive", "standing": "alive", "healthy": "alive",
		"dying": "alive", "empty": "vacant", "planting site": "vacant", "open": "vacant", "felled": "removed",
	},
	"vigour": {"excellent": "good", "very good": "good", "critical": "poor", "dying": "poor", "very poor": "poor"},
	"owner":  {"municipal": "city", "public": "city", "state": "state_road", "resident": "private"},
}

// squeeze drops case and punctuation from a column name.
func squeeze(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r > 127 {
			return r
		}
		return -1
	}, strings.ToLower(s))
}

// guessColumn finds the column for a field: one named like it, or one with a
// name others use. sure is true only for the former.
func guessColumn(f *scheduler.Field, columns []string, taken map[string]bool) (column string, sure bool) {
	own := []string{squeeze(f.Name), squeeze(baseName(f.Name))}
	for pass, words := range [][]string{own, fieldWords[f.Name]} {
		for _, w := range words {
			for _, c := range columns {
				if squeeze(c) == w && !taken[c] {
					return c, pass == 0
				}
			}
		}
	}
	return "", false
}

// numbersOf reads the values that are numbers, sorted, with a point or a comma
// before the decimals.
func numbersOf(values []string) []float64 {
	var ns []float64
	for _, v := range values {
		if n, err := strconv.ParseFloat(strings.Replace(v, ",", ".", 1), 64); err == nil {
			ns = append(ns, n)
		}
	}
	slices.Sort(ns)
	return ns
}

// decimalComma reports whether numbers are written as 12,5: some have one comma
// with other than three digits behind it, and none has a point.
func decimalComma(values []string) bool {
	found := false
	for _, v := range values {
		if strings.Trim(v, "-0123456789.,") != "" {
			continue
		}
		if strings.Contains(v, ".") {
			return false
		}
		_, decimals, ok := strings.Cut(v, ",")
		found = found || ok && len(decimals) != 3
	}
	return found
}

// guessUnit guesses the unit of a length from the column's name, then from the
// size of its middle value: a street tree has a dbh near 25 cm or 10 in and a
// height near 8 m or 26 ft.
func guessUnit(f *scheduler.Field, column string, ns []float64) (unit, why string) {
	name := squeeze(column)
	girth := strings.Contains(name, "umfang") || strings.Contains(name, "circ") || strings.Contains(name, "girth")
	if u, ok := unitOfName(f, column); ok {
		if girth {
			u = "circumference_" + u
		}
		return u, "as the column's name says"
	}
	if len(ns) == 0 {
		return f.Unit, "CHECK: no value in the sample"
	}
	mid := ns[len(ns)/2]
	why = "CHECK: from the middle value " + strconv.FormatFloat(mid, 'g', 4, 64)
	pick := func(names []string, limits ...float64) string {
		for i, l := range limits {
			if mid <= l {
				return names[i]
			}
		}
		return names[len(limits)]
	}
	switch {
	case girth:
		return pick([]string{"circumference_m", "circumference_cm", "circumference_mm"}, 8, 400), why
	case f.Name == "dbh_mm" || f.Name == "caliper_mm":
		return pick([]string{"m", "in", "cm", "mm"}, 1.5, 14, 150), why
	}
	return pick([]string{"m", "ft", "mm"}, 16, 200), why
}

// guessDates tells the style of dates written with numbers, or that it cannot
// be told.
func guessDates(values []string) (style string, unclear bool) {
	first, second, yearLast, epoch := 0, 0, 0, 0
	for _, v := range values {
		if _, err := strconv.ParseInt(v, 10, 64); err == nil && len(v) >= 11 {
			epoch++
			continue
		}
		w := strings.FieldsFunc(dropClock(strings.ToLower(v)), func(r rune) bool { return r == '/' || r == '.' || r == '-' })
		if len(w) != 3 || len(w[2]) != 4 {
			continue
		}
		a, errA := strconv.Atoi(w[0])
		b, errB := strconv.Atoi(w[1])
		if errA == nil && errB == nil {
			yearLast++
			first, second = max(first, a), max(second, b)
		}
	}
	switch {
	case epoch > len(values)/2:
		return "epoch_ms", false
	case yearLast == 0:
		return "", false
	case first > 12 && second <= 12:
		return "dmy", false
	case second > 12 && first <= 12:
		return "mdy", false
	}
	return "", true
}

// guessCRS recognises longitude and latitude.
func guessCRS(xs, ys []float64) int {
	if len(xs) > 0 && len(ys) > 0 && xs[0] >= -180 && xs[len(xs)-1] <= 180 && ys[0] >= -90 && ys[len(ys)-1] <= 90 {
		return 4326
	}
	return 0
}

// guessPosition finds the two columns of a position.
func guessPosition(columns []string) (x, y string) {
	if x, y = lonLatColumns(columns); x != "" && y != "" {
		return x, y
	}
	for _, pair := range [][2]string{
		{"pointx", "pointy"},
		{"xcoord", "ycoord"},
		{"xcoordinate", "ycoordinate"},
		{"easting", "northing"},
		{"eastings", "northings"},
		{"rechtswert", "hochwert"},
		{"ostwert", "nordwert"},
		{"xsp", "ysp"},
		{"longitude", "latitude"},
		{"x", "y"},
	} {
		x, y = "", ""
		for _, c := range columns {
			switch squeeze(c) {
			case pair[0]:
				x = c
			case pair[1]:
				y = c
			}
		}
		if x != "" && y != "" {
			return x, y
		}
	}
	return "", ""
}
