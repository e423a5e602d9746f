package db

import (
	"context"
	"fmt"
	"iter"
	"strings"
	"unicode/utf8"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"limbround/geo"
	"limbround/scheduler"
)

const batchLayerSQL = `SELECT layer, state::text FROM batch WHERE id = $1`

// Stage copies rows into the layer's stage as a stream, and returns how many.
// Values stand in the order of layer.Fields; an absent one stays absent, so
// that a partial file does not overwrite what it does not mention. Call it as
// often as needed before CheckStaged. The sequence runs on a goroutine of its
// own and has ended when Stage returns. The first value of a wrong type or text
// that the database cannot hold ends it with Invalid naming line and field.
func (d *DB) Stage(ctx context.Context, batch int64, layer scheduler.Layer, rows iter.Seq[scheduler.Row]) (int64, error) {
	var name, state string
	if err := d.pool.QueryRow(ctx, batchLayerSQL, batch).Scan(&name, &state); err != nil {
		return 0, failed(fmt.Sprintf("read batch %d", batch), err)
	}
	if name != layer.Name || state != "staged" {
		return 0, scheduler.Errorf(scheduler.Clash, "batch %d is %s of layer %s, it takes no rows of %s", batch, state, name, layer.Name)
	}
	columns := []string{"batch_id", "line"}
	for _, f := range layer.Fields {
		columns = append(columns, f.Name)
	}
	if layer.Geometry != scheduler.GeometryNone {
		columns = append(columns, "geom")
	}
	feed := startFeed(rows)
	defer feed.stop()
	values := make([]any, len(columns))
	var bad error // the server only learns that the copy ended
	src := pgx.CopyFromFunc(func() ([]any, error) {
		row, ok := feed.next()
		if !ok {
			return nil, nil
		}
		bad = stageValues(values, batch, &layer, row)
		return values, bad
	})
	n, err := d.pool.CopyFrom(ctx, pgx.Identifier{"stage_" + layer.Name}, columns, src)
	if bad != nil {
		err = bad
	}
	return n, failed("stage rows of "+layer.Name, err)
}

// stageValues fills out with one row in the order of the stage's columns.
func stageValues(out []any, batch int64, layer *scheduler.Layer, row *scheduler.Row) error {
	if len(row.Values) != len(layer.Fields) {
		return fmt.Errorf("stage line %d: %d values for %d fields", row.Line, len(row.Values), len(layer.Fields))
	}
	out[0], out[1] = batch, int32(row.Line)
	for i, v := range row.Values {
		s, rule := stageValue(v)
		if rule != "" {
			return &scheduler.Error{
				Kind: scheduler.Invalid, Message: "a row cannot be stored",
				Fields: []scheduler.Fault{{Line: row.Line, Field: layer.Fields[i].Name, Value: fmt.Sprint(v), Rule: rule}},
			}
		}
		out[2+i] = s
	}
	if layer.Geometry == scheduler.GeometryNone {
		return nil
	}
	last := len(out) - 1
	out[last] = nil
	if !row.Shape.Empty() {
		out[last] = row.Shape
	}
	return nil
}

// stageValue is a field's value as COPY takes it, or the rule it breaks.
func stageValue(v any) (any, string) {
	switch v := v.(type) {
	case nil:
		return nil, ""
	case string:
		if strings.IndexByte(v, 0) >= 0 || !utf8.ValidString(v) {
			return nil, "text is UTF-8 without zero bytes"
		}
		return v, ""
	case int64:
		if v != int64(int32(v)) {
			return nil, "a whole number lies within 32 bits"
		}
		return int32(v), ""
	case geo.Length:
		if !v.Known() {
			return nil, ""
		}
		return int32(v), ""
	case scheduler.Date:
		if v.IsZero() {
			return nil, ""
		}
		return pgtype.Date{Time: v.Time(), Valid: true}, ""
	case bool, float64:
		return v, ""
	}
	return nil, fmt.Sprintf("no field holds a %T", v)
}
