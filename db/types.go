package db

import (
	"context"
	"database/sql/driver"
	"encoding/hex"
	"fmt"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"limbround/geo"
)

const ownTypesSQL = `
SELECT typname::text, oid, typarray, typtype = 'e' FROM pg_type
WHERE (typtype = 'e' AND typnamespace = 'public'::regnamespace) OR (typname = 'geometry' AND typtype = 'b')`

// registerTypes teaches a new connection the schema's enums, their arrays and
// PostGIS geometry. Their numbers belong to one database, so they are read
// once for each DB; an unmigrated database has none and is asked again.
func (d *DB) registerTypes(ctx context.Context, c *pgx.Conn) error {
	types := d.types.Load()
	if types == nil {
		found, err := readTypes(ctx, c)
		if err != nil {
			return fmt.Errorf("read types: %w", err)
		}
		types = &found
		if len(found) > 0 {
			d.types.Store(types)
		}
	}
	c.TypeMap().RegisterTypes(*types)
	return nil
}

func readTypes(ctx context.Context, c *pgx.Conn) ([]*pgtype.Type, error) {
	rows, err := c.Query(ctx, ownTypesSQL)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var types []*pgtype.Type
	for rows.Next() {
		var name string
		var oid, array uint32
		var enum bool
		if err := rows.Scan(&name, &oid, &array, &enum); err != nil {
			return nil, err
		}
		t := &pgtype.Type{Name: name, OID: oid, Codec: geometryCodec{}}
		if enum {
			t.Codec = &pgtype.EnumCodec{}
		}
		types = append(types, t, &pgtype.Type{Name: "_" + name, OID: array, Codec: &pgtype.ArrayCodec{ElementType: t}})
	}
	return types, rows.Err()
}

// geometryCodec carries PostGIS geometry as extended well-known binary, from
// and to geo.Shape or raw bytes. The text form is the same bytes in hex.
type geometryCodec struct{}

func (geometryCodec) FormatSupported(int16) bool { return true }
func (geometryCodec) PreferredFormat() int16     { return pgtype.BinaryFormatCode }

func (geometryCodec) PlanEncode(_ *pgtype.Map, _ uint32, format int16, value any) pgtype.EncodePlan {
	switch value.(type) {
	case geo.Shape, []byte:
		return encodeGeometry(format)
	}
	return nil
}

type encodeGeometry int16

func (f encodeGeometry) Encode(value any, buf []byte) ([]byte, error) {
	var b []byte
	switch v := value.(type) {
	case geo.Shape:
		if v.Empty() {
			return nil, nil
		}
		var err error
		if b, err = v.EWKB(); err != nil {
			return nil, err
		}
	case []byte:
		if b = v; b == nil {
			return nil, nil
		}
	}
	if f == pgtype.TextFormatCode {
		return hex.AppendEncode(buf, b), nil
	}
	return append(buf, b...), nil
}

func (geometryCodec) PlanScan(_ *pgtype.Map, _ uint32, format int16, target any) pgtype.ScanPlan {
	switch target.(type) {
	case *geo.Shape, *[]byte:
		return scanGeometry(format)
	}
	return nil
}

type scanGeometry int16

func (f scanGeometry) Scan(src []byte, target any) error {
	if f == pgtype.TextFormatCode && src != nil {
		b, err := hex.DecodeString(string(src))
		if err != nil {
			return fmt.Errorf("decode geometry: %w", err)
		}
		src = b
	}
	switch t := target.(type) {
	case *[]byte:
		*t = append([]byte(nil), src...)
	case *geo.Shape:
		if src == nil {
			*t = geo.Shape{}
			return nil
		}
		s, err := geo.FromEWKB(src)
		if err != nil {
			return err
		}
		*t = s
	}
	return nil
}

func (geometryCodec) DecodeDatabaseSQLValue(_ *pgtype.Map, _ uint32, _ int16, src []byte) (driver.Value, error) {
	if src == nil {
		return nil, nil
	}
	return append([]byte(nil), src...), nil
}

func (geometryCodec) DecodeValue(_ *pgtype.Map, _ uint32, _ int16, src []byte) (any, error) {
	if src == nil {
		return nil, nil
	}
	return append([]byte(nil), src...), nil
}
