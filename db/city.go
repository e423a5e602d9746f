package db

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	readCitySQL = `SELECT name, coalesce(srid, 0), time_zone, units, fiscal_month, hospital, emergency, utility_phone FROM city`
	setCitySQL  = `
UPDATE city SET name = $1, time_zone = $2, units = $3, fiscal_month = $4, hospital = $5, emergency = $6, utility_phone = $7`
	lockCitySRIDSQL = `SELECT coalesce(srid, 0) FROM city FOR UPDATE`
	setCitySRIDSQL  = `UPDATE city SET srid = $1`
	readCRSSQL      = `SELECT proj4text FROM spatial_ref_sys WHERE srid = $1`
)

// City reads the settings.
func (d *DB) City(ctx context.Context) (c scheduler.City, err error) {
	err = d.pool.QueryRow(ctx, readCitySQL).Scan(&c.Name, &c.SRID, &c.TimeZone, &c.Units, &c.FiscalMonth,
		&c.Hospital, &c.Emergency, &c.UtilityPhone)
	return c, failed("read city settings", err)
}

// SetCity stores the settings, all but the coordinate system. Invalid with a
// Fault for each field out of range.
func (d *DB) SetCity(ctx context.Context, c scheduler.City, by scheduler.Stamp) error {
	if faults := checkCity(c); len(faults) > 0 {
		return &scheduler.Error{Kind: scheduler.Invalid, Message: "city settings: " + faults[0].String(), Fields: faults}
	}
	return d.tx(ctx, func(tx pgx.Tx) error {
		_, err := tx.Exec(ctx, setCitySQL, c.Name, c.TimeZone, c.Units, c.FiscalMonth, c.Hospital, c.Emergency, c.UtilityPhone)
		if err != nil {
			return failed("write city settings", err)
		}
		return audit(ctx, tx, by, "set", "city", "settings", c)
	})
}

func checkCity(c scheduler.City) (faults []scheduler.Fault) {
	bad := func(field, value, rule string) {
		faults = append(faults, scheduler.Fault{Field: field, Value: value, Rule: rule})
	}
	if _, err := time.LoadLocation(c.TimeZone); err != nil || c.TimeZone == "" || c.TimeZone == "Local" {
		bad("time_zone", c.TimeZone, "must be a zone of the IANA database, for example America/New_York")
	}
	if c.Units != "us" && c.Units != "metric" {
		bad("units", c.Units, "must be us or metric")
	}
	if c.FiscalMonth < 1 || c.FiscalMonth > 12 {
		bad("fiscal_month", strconv.Itoa(c.FiscalMonth), "must be a month from 1 to 12")
	}
	return faults
}

// SetCitySRID fixes the metric coordinate system in which the city's
// positions are stored. It can be set once: later it must be the same, because
// distances already computed depend on it (Clash). Invalid unless PostGIS
// knows the system and it counts in metres.
func (d *DB) SetCitySRID(ctx context.Context, srid int, by scheduler.Stamp) error {
	return d.tx(ctx, func(tx pgx.Tx) error { return setCitySRID(ctx, tx, srid, by) })
}

func setCitySRID(ctx context.Context, tx pgx.Tx, srid int, by scheduler.Stamp) error {
	var had int
	if err := tx.QueryRow(ctx, lockCitySRIDSQL).Scan(&had); err != nil {
		return failed("read city settings", err)
	}
	if had == srid {
		return nil
	}
	if had != 0 {
		return &scheduler.Error{
			Kind: scheduler.Clash, Message: fmt.Sprintf("the city's data is stored in EPSG:%d, not EPSG:%d", had, srid),
			Hint: "import with any coordinate system; positions are converted",
		}
	}
	var def string
	err := tx.QueryRow(ctx, readCRSSQL, srid).Scan(&def)
	if errors.Is(err, pgx.ErrNoRows) {
		return scheduler.Errorf(scheduler.Invalid, "srid %d: PostGIS knows no such coordinate system", srid)
	}
	if err != nil {
		return failed("read coordinate system", err)
	}
	if !strings.Contains(def, "+units=m ") || strings.Contains(def, "+proj=longlat") {
		return &scheduler.Error{
			Kind: scheduler.Invalid, Message: fmt.Sprintf("srid %d: positions must be stored in metres (%s)", srid, strings.TrimSpace(def)),
			Hint: "choose the UTM zone of the city, or a state plane system in metres",
		}
	}
	if _, err := tx.Exec(ctx, setCitySRIDSQL, srid); err != nil {
		return failed("write city settings", err)
	}
	return audit(ctx, tx, by, "set", "city", "srid", map[string]int{"srid": srid})
}
