package db

import (
	"context"
	"strconv"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

// Import in the database goes in five steps: OpenBatch, Stage (rows by COPY),
// CheckStaged (what would change, and which rows break a rule that only the
// database can see), then ApplyBatch or DiscardBatch. UndoBatch takes an
// applied batch back. What is particular to a layer is its layerSQL, in the
// apply_ files; everything else is the same for all layers.

// layerSQL is one layer's part of an import. Every statement takes the batch as
// $1; key takes the city's SRID as $2 too when the layer has geometry.
type layerSQL struct {
	key      string   // writes stage_key: which row is meant, where it lies
	clear    string   // empties the layer's stage of the batch
	geometry string   // accepted type in the city's system, empty for a layer without geometry
	faults   []string // find rows that break a rule of the layer
	check    func(context.Context, pgx.Tx, checkInput) error
	verdict  string // new, changed or unchanged, for rows without a fault
	examples string // a few changed rows: line, ref, before and after as objects, metres moved
	apply    []string
	insert   string   // the rows that are new
	after    []string // what hangs on the new rows
	reach    float64  // metres around a changed row within which sites are reduced again; 0 for none
	touched  string   // sites to reduce when reach is 0
	needs    []string // other layers that the check reads and imports change
	undo     undoSQL
}

// undoSQL takes a batch of one layer back. Every statement takes the batch as $1.
type undoSQL struct {
	blocked  string   // what stands in the way, by kind: text, count
	near     string   // sites whose numbers the batch changed; $2 is the reach in metres
	derived  []string // rows that go with the removed ones
	restored []string
	removed  []string
}

func sqlOf(layer string) (layerSQL, error) {
	switch layer {
	case "districts":
		return districtImport(), nil
	case "sections":
		return sectionImport(), nil
	case "streets":
		return streetImport(), nil
	case "walks":
		return walkImport(), nil
	case "wires":
		return wireImport(), nil
	case "signs":
		return signImport(), nil
	case "depots":
		return depotImport(), nil
	case "dumps":
		return dumpImport(), nil
	case "crews":
		return crewImport(), nil
	case "trees":
		return treeImport(), nil
	case "history":
		return historyImport(), nil
	}
	return layerSQL{}, scheduler.Errorf(scheduler.NotFound, "there is no layer %q", layer)
}

const (
	openBatchSQL = `
INSERT INTO batch (layer, file, actor, started_at) VALUES ($1, $2, $3, $4) RETURNING id`
	lockBatchSQL = `
SELECT layer, file, actor, state::text, checked_after, accepted FROM batch WHERE id = $1 FOR UPDATE`
	deleteBatchSQL = `DELETE FROM batch WHERE id = $1`
)

// OpenBatch starts an import of a layer and returns its number.
func (d *DB) OpenBatch(ctx context.Context, layer, file string, by scheduler.Stamp) (int64, error) {
	if _, err := sqlOf(layer); err != nil {
		return 0, err
	}
	var id int64
	err := d.tx(ctx, func(tx pgx.Tx) error {
		if err := sweepStaged(ctx, tx, by); err != nil {
			return err
		}
		if err := tx.QueryRow(ctx, openBatchSQL, layer, file, by.Actor, by.At).Scan(&id); err != nil {
			return err
		}
		return audit(ctx, tx, by, "open", "batch", strconv.FormatInt(id, 10), map[string]any{"layer": layer, "file": file})
	})
	return id, err
}

// DiscardBatch drops a batch that was staged and not applied. Nothing but its
// audit rows remains.
func (d *DB) DiscardBatch(ctx context.Context, batch int64, by scheduler.Stamp) error {
	return d.tx(ctx, func(tx pgx.Tx) error {
		b, err := lockBatch(ctx, tx, batch)
		if err != nil {
			return err
		}
		if err := b.mustBe("staged"); err != nil {
			return err
		}
		return b.discard(ctx, tx, by)
	})
}

// batchRow is a batch as it stands under lock.
type batchRow struct {
	id           int64
	layer, file  string
	actor, state string
	checkedAfter *int64
	accepted     int64
}

func lockBatch(ctx context.Context, tx pgx.Tx, id int64) (batchRow, error) {
	b := batchRow{id: id}
	err := tx.QueryRow(ctx, lockBatchSQL, id).Scan(&b.layer, &b.file, &b.actor, &b.state, &b.checkedAfter, &b.accepted)
	if isNoRows(err) {
		return b, scheduler.Errorf(scheduler.NotFound, "there is no batch %d", id)
	}
	return b, err
}

func (b *batchRow) mustBe(state string) error {
	if b.state == state {
		return nil
	}
	return scheduler.Errorf(scheduler.Clash, "batch %d is %s, not %s", b.id, b.state, state)
}
