package jobs

import (
	"fmt"

	"limbround/geo"
	"limbround/scheduler"
)

// citySRID chooses the metric system of a new database: what the mapping says,
// else the file's own when it is a projected system in metres that we know to
// fit a city, else the UTM zone (WGS 84) of the file's middle.
func citySRID(p *plan, mid middle) (int, error) {
	switch {
	case p.cityCRS != 0:
		return p.cityCRS, nil
	case metric(p.srid):
		return p.srid, nil
	case p.srid != 4326:
		return 0, &scheduler.Error{
			Kind:    scheduler.Invalid,
			Message: fmt.Sprintf("the database has no metric coordinate system yet, and crs %d is not known to be in metres", p.srid),
			Hint:    `say "city_crs:" in the mapping, for example the UTM zone of the city (EPSG 326xx in the north, 327xx in the south)`,
		}
	case mid.at.Valid():
		return geo.UTMZone(mid.at), nil
	}
	return 0, scheduler.Errorf(scheduler.Invalid, "no row of the file has a usable position, so the metric coordinate system of the city cannot be chosen")
}

// metric reports whether the EPSG code is of a family of transverse Mercator
// grids in metres: UTM on WGS 84, ETRS89, NAD83, NAD83(2011), NAD27, GDA94 and
// GDA2020, the British and the French national grids. (From memory of the
// EPSG registry; any other system can be named with city_crs.)
func metric(srid int) bool {
	for _, r := range [][2]int{
		{32601, 32660},
		{32701, 32760},
		{25828, 25838},
		{26901, 26923},
		{6328, 6348},
		{26701, 26722},
		{28348, 28358},
		{7846, 7859},
		{27700, 27700},
		{2154, 2154},
	} {
		if srid >= r[0] && srid <= r[1] {
			return true
		}
	}
	return false
}
