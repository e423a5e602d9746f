package growth

// Region is a climate region of the published curves, with the city in which
// its trees were measured.
type Region struct {
	Code  string `json:"code"`
	Name  string `json:"name"`
	City  string `json:"city"`
	State string `json:"state"`
	Cold  bool   `json:"cold"` // the winter stops growth: a planted tree spends seasons on its roots
}

// Regions lists the climate regions in the order of their codes. Source:
// McPherson, van Doorn & Peper 2016 (PSW-GTR-253; RDS-2016-0005, table TS1);
// Cold is this project's reading of their climates, from memory.
func Regions() []Region {
	return []Region{
		{"CenFla", "Central Florida", "Orlando", "Florida", false},
		{"GulfCo", "Coastal Plain", "Charleston", "South Carolina", false},
		{"InlEmp", "Inland Empire", "Claremont", "California", false},
		{"InlVal", "Inland Valleys", "Modesto", "California", false},
		{"InterW", "Interior West", "Albuquerque", "New Mexico", true},
		{"LoMidW", "Lower Midwest", "Indianapolis", "Indiana", true},
		{"MidWst", "Midwest", "Minneapolis", "Minnesota", true},
		{"NMtnPr", "North", "Fort Collins", "Colorado", true},
		{"NoCalC", "Northern California Coast", "Berkeley", "California", false},
		{"NoEast", "Northeast", "Queens", "New York", true},
		{"PacfNW", "Pacific Northwest", "Longview", "Oregon", false},
		{"Piedmt", "South", "Charlotte", "North Carolina", false},
		{"SWDsrt", "Southwest Desert", "Glendale", "Arizona", false},
		{"SacVal", "Sacramento Valley", "Sacramento", "California", false},
		{"SoCalC", "Southern California Coast", "Santa Monica", "California", false},
		{"TpIntW", "Temperate Interior West", "Boise", "Idaho", true},
		{"Tropic", "Tropical", "Honolulu", "Hawaii", false},
	}
}

// RegionOf finds a climate region by its code, for example "LoMidW".
func RegionOf(code string) (Region, bool) {
	for _, r := range Regions() {
		if r.Code == code {
			return r, true
		}
	}
	return Region{}, false
}
