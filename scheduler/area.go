package scheduler

// Area is a district or a section: a named piece of the city.
type Area struct {
	ID        int64  `json:"id"`
	Ref       string `json:"ref"`
	Name      string `json:"name"`
	CycleYear int    `json:"cycle_year,omitempty"` // sections: year of the section calendar, 0 for none
	Version   int    `json:"version,omitempty"`    // districts: counts moved boundaries
}
