package scheduler

// City holds the settings of the one city that a database serves.
type City struct {
	Name         string `json:"name"`
	SRID         int    `json:"srid"` // metric coordinate system, 0 until the first import sets it
	TimeZone     string `json:"time_zone"`
	Units        string `json:"units"` // us or metric
	FiscalMonth  int    `json:"fiscal_month"`
	Hospital     string `json:"hospital"`
	Emergency    string `json:"emergency"`
	UtilityPhone string `json:"utility_phone"`
}
