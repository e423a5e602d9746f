//go:build !linux

package db

import (
	"context"

	"limbround/scheduler"
)

// cluster is never made here: the private cluster relies on Linux to end the
// server when its owner dies.
type cluster struct{ gone chan struct{} }

func openCluster(context.Context, Config) (*cluster, error) { return nil, noCluster() }

func checkBinaries(Config) Check { return finding("binaries", "", noCluster()) }

func checkSpace(string) Check { return finding("disk space", "", noCluster()) }

func noCluster() error {
	return &scheduler.Error{
		Kind: scheduler.Unavailable, Message: "the private database runs on Linux only",
		Hint: "set DATABASE_URL to a PostgreSQL server that has PostGIS",
	}
}

func (*cluster) url() string  { return "" }
func (*cluster) close() error { return nil }
