package db

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const tokenPrefix = "lr_"

// Expiry is judged by the database's clock, the one clock that all servers share.
const (
	addTokenSQL    = `INSERT INTO token (hash, actor, role, made_at, expires_at) VALUES ($1, $2, $3, $4, $5)`
	readTokenSQL   = `SELECT actor, role FROM token WHERE hash = $1 AND (expires_at IS NULL OR expires_at > now())`
	listTokensSQL  = `SELECT encode(substr(hash, 1, 6), 'hex'), actor, role, made_at, expires_at FROM token ORDER BY made_at, hash`
	revokeTokenSQL = `DELETE FROM token WHERE substr(hash, 1, 6) = $1 RETURNING actor`
)

// AddToken makes a bearer token for actor and answers its secret, which is
// not stored and cannot be shown again. A zero expires never expires.
func (d *DB) AddToken(ctx context.Context, actor string, role scheduler.Role, expires time.Time, by scheduler.Stamp) (secret string, err error) {
	if strings.TrimSpace(actor) == "" || !role.Valid() {
		return "", scheduler.Errorf(scheduler.Invalid, "token: needs an actor's name and a role (manager, dispatcher, analyst, crew), not %q and %q", actor, role)
	}
	raw := make([]byte, 32)
	_, _ = rand.Read(raw) // never fails (crypto/rand)
	secret = tokenPrefix + base64.RawURLEncoding.EncodeToString(raw)
	hash := sha256.Sum256([]byte(secret))
	var until *time.Time
	if !expires.IsZero() {
		until = &expires
	}
	err = d.tx(ctx, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, addTokenSQL, hash[:], actor, role, by.At, until); err != nil {
			return failed("store token", err)
		}
		return audit(ctx, tx, by, "add", "token", tokenID(hash[:]), map[string]any{"actor": actor, "role": role, "expires_at": until})
	})
	if err != nil {
		return "", err
	}
	return secret, nil
}

func tokenID(hash []byte) string { return hex.EncodeToString(hash[:6]) }

// TokenActor answers who holds a secret and in which role. An unknown, revoked
// or expired one is Unauthorized, without saying which.
func (d *DB) TokenActor(ctx context.Context, secret string) (actor string, role scheduler.Role, err error) {
	hash := sha256.Sum256([]byte(secret))
	err = d.pool.QueryRow(ctx, readTokenSQL, hash[:]).Scan(&actor, &role)
	if errors.Is(err, pgx.ErrNoRows) {
		return "", "", &scheduler.Error{Kind: scheduler.Unauthorized, Message: "the token is not valid", Hint: "make a new one: limbround token add"}
	}
	return actor, role, failed("read token", err)
}

// ListTokens lists all tokens, oldest first, expired ones too.
func (d *DB) ListTokens(ctx context.Context) ([]scheduler.Token, error) {
	rows, err := d.pool.Query(ctx, listTokensSQL)
	if err != nil {
		return nil, failed("list tokens", err)
	}
	list, err := pgx.CollectRows(rows, func(r pgx.CollectableRow) (t scheduler.Token, err error) {
		err = r.Scan(&t.ID, &t.Actor, &t.Role, &t.MadeAt, &t.ExpiresAt)
		return t, err
	})
	return list, failed("list tokens", err)
}

// RevokeToken ends a token, named by the ID that ListTokens gives; NotFound
// when there is none.
func (d *DB) RevokeToken(ctx context.Context, id string, by scheduler.Stamp) error {
	start, err := hex.DecodeString(id)
	if err != nil || len(start) != 6 {
		return scheduler.Errorf(scheduler.Invalid, "token id %q: must be 12 hexadecimal digits, as listed", id)
	}
	return d.tx(ctx, func(tx pgx.Tx) error {
		var actor string
		if err := tx.QueryRow(ctx, revokeTokenSQL, start).Scan(&actor); err != nil {
			return failed("revoke token "+id, err)
		}
		return audit(ctx, tx, by, "revoke", "token", id, map[string]string{"actor": actor})
	})
}
