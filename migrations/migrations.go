// Package migrations embeds the numbered SQL files that build the database.
// They run forward only; each file states what it adds and why.
package migrations

import "embed"

// FS holds the migration files at its root.
//
//go:embed *.sql
var FS embed.FS

// Newest is the schema version of this program; Compatible is the newest
// schema version that it can still serve when a later release migrated first.
const (
	Newest     = 14
	Compatible = 14
)
