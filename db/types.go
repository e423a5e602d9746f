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

// ownType is an enum or the geometry type as this database numbers it.
type ownType struct {
	name       string
	oid, array uint32
	enum       bool
}

// registerTypes teaches a new connection the schema's enums, their arrays and
// PostGIS geometry. Their numbers belong to one database, so they are read
// once for each DB; an unmigrated database has none and is asked again. The
// codecs are made anew for each connection: pgx's enum codec remembers words in
// a map that two connections must not share.
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
	for _, o := range *types {
		t := &pgtype.Type{Name: o.name, OID: o.oid, Codec: geometryCodec{}}
		if o.enum {
			t.Codec = &pgtype.EnumCodec{}
		}
		c.TypeMap().RegisterType(t)
		c.TypeMap().RegisterType(&pgtype.Type{Name: "_" + o.name, OID: o.array, Codec: &pgtype.ArrayCodec{ElementType: t}})
	}
	return nil
}

func readTypes(ctx context.Context, c *pgx.Conn) ([]ownType, error) {
	rows, err := c.Query(ctx, ownTypesSQL)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(r pgx.CollectableRow) (o ownType, err error) {
		err = r.Scan(&o.name, &o.oid, &o.array, &o.enum)
		return o, err
	})
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
