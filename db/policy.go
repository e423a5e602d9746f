package db

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"strconv"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

// firstAdopted is the day of effect of the first version, up to the one read,
// that somebody adopted; a built-in one that nobody put a name to is a draft and
// starts nothing.
const firstAdopted = `(SELECT f.effective FROM policy f WHERE f.adopted_by <> '' AND f.id <= p.id ORDER BY f.id LIMIT 1)`

const (
	currentPolicySQL = `SELECT id, ` + firstAdopted + ` FROM policy p ORDER BY effective <= $1 DESC, abs(effective - $1::date), id DESC LIMIT 1`
	policyByIDSQL    = `SELECT id, ` + firstAdopted + ` FROM policy p WHERE id = $1`
	listPoliciesSQL  = `SELECT id, ` + firstAdopted + ` FROM policy p ORDER BY effective DESC, id DESC`
	policyByHashSQL  = `SELECT id FROM policy WHERE hash = $1`
	policySourceSQL  = `SELECT source FROM policy WHERE id = $1`
	addPolicySQL     = `
INSERT INTO policy (name, adopted_by, effective, source, hash, made_at, actor, leaf_from, leaf_to)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9) ON CONFLICT (hash) DO NOTHING RETURNING id`
)

// CurrentPolicy is the policy in force on a day: the newest that has taken
// effect. Before the first one takes effect it is that first one, because no
// date can be computed without rules. NotFound when there is none at all.
func (d *DB) CurrentPolicy(ctx context.Context, on scheduler.Date) (scheduler.Policy, error) {
	return d.readPolicy(ctx, d.pool.QueryRow(ctx, currentPolicySQL, on))
}

// PolicyByID is one version, also one that is no longer in force.
func (d *DB) PolicyByID(ctx context.Context, id int64) (scheduler.Policy, error) {
	return d.readPolicy(ctx, d.pool.QueryRow(ctx, policyByIDSQL, id))
}

// ListPolicies lists all versions, the latest in effect first.
func (d *DB) ListPolicies(ctx context.Context) ([]scheduler.Policy, error) {
	rows, err := d.pool.Query(ctx, listPoliciesSQL)
	if err != nil {
		return nil, failed("list policies", err)
	}
	versions, err := pgx.CollectRows(rows, pgx.RowToStructByPos[version])
	if err != nil {
		return nil, failed("list policies", err)
	}
	list := make([]scheduler.Policy, len(versions))
	for i, v := range versions {
		if list[i], err = d.policyOf(ctx, v); err != nil {
			return nil, err
		}
	}
	return list, nil
}

// PolicySource is the text of one version as it was adopted.
func (d *DB) PolicySource(ctx context.Context, id int64) ([]byte, error) {
	var source []byte
	err := d.pool.QueryRow(ctx, policySourceSQL, id).Scan(&source)
	return source, failed("read policy "+strconv.FormatInt(id, 10), err)
}

// version is one stored policy, and the day from which its records count.
type version struct {
	ID    int64
	First scheduler.Date
}

func (d *DB) readPolicy(ctx context.Context, row pgx.Row) (scheduler.Policy, error) {
	var v version
	if err := row.Scan(&v.ID, &v.First); err != nil {
		return scheduler.Policy{}, failed("read policy", err)
	}
	return d.policyOf(ctx, v)
}

// policyOf reads the stored text with today's program: the text is the policy,
// and what the program makes of it may gain fields.
func (d *DB) policyOf(ctx context.Context, v version) (scheduler.Policy, error) {
	p, err := d.parsed(ctx, v.ID)
	p.CountFrom(v.First)
	return p, err
}

// parsed is the policy as its text says it; a text is fetched and read once.
func (d *DB) parsed(ctx context.Context, id int64) (scheduler.Policy, error) {
	if known, ok := d.read.Load(id); ok {
		return known.(scheduler.Policy), nil
	}
	source, err := d.PolicySource(ctx, id)
	if err != nil {
		return scheduler.Policy{}, err
	}
	p, err := scheduler.ParsePolicy(source)
	if err != nil {
		return scheduler.Policy{}, fmt.Errorf("read stored policy %d: %w", id, err)
	}
	p.ID = id
	d.read.Store(id, p)
	return p, nil
}

// AddPolicy stores a policy that scheduler.ParsePolicy made of source, and
// answers its id. The same text again answers the id it has.
func (d *DB) AddPolicy(ctx context.Context, source []byte, p scheduler.Policy, by scheduler.Stamp) (id int64, err error) {
	hash, leaf := sha256.Sum256(source), p.Seasons.LeafOn
	err = d.tx(ctx, func(tx pgx.Tx) error {
		err := tx.QueryRow(ctx, addPolicySQL, p.Name, p.AdoptedBy, p.Effective, source, hash[:], by.At, by.Actor, leaf.From.Number(), leaf.To.Number()).Scan(&id)
		if errors.Is(err, pgx.ErrNoRows) {
			return failed("read policy", tx.QueryRow(ctx, policyByHashSQL, hash[:]).Scan(&id))
		}
		if err != nil {
			return failed("store policy", err)
		}
		return audit(ctx, tx, by, "add", "policy", strconv.FormatInt(id, 10),
			map[string]string{"name": p.Name, "effective": p.Effective.String(), "adopted_by": p.AdoptedBy})
	})
	return id, err
}
