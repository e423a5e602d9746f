package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// house is one installation: a private database on a directory of its own, kept
// open by a server without workers.
type house struct {
	bin, data, city string
	socket          string
	w               *watcher
	ledger          *ledger
}

// open starts the owner of the private database and waits until it serves.
func (h *house) open(ctx context.Context) (closed func() error, err error) {
	cmd := exec.CommandContext(ctx, h.bin, "serve", "--no-worker", "--addr", "127.0.0.1:0")
	cmd.Env = h.env()
	var errOut bytes.Buffer
	cmd.Stderr = &errOut
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil || !strings.Contains(line, "Serving") {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		return nil, fmt.Errorf("start server: %q, %w: %s", line, err, errOut.String())
	}
	closed = func() error {
		if err := cmd.Process.Signal(syscall.SIGTERM); err != nil {
			return err
		}
		return cmd.Wait()
	}
	h.socket, h.w, err = ownerOf(h.data)
	return closed, err
}

// ownerOf reads where the owner's socket stands and which process serves it.
func ownerOf(data string) (string, *watcher, error) {
	text, err := os.ReadFile(filepath.Join(data, "owner.json"))
	if err != nil {
		return "", nil, err
	}
	var owner struct {
		Socket string `json:"socket"`
		Server int    `json:"server"`
	}
	if err := json.Unmarshal(text, &owner); err != nil {
		return "", nil, fmt.Errorf("read owner.json: %w", err)
	}
	return owner.Socket, &watcher{postmaster: owner.Server}, nil
}

func (h *house) env() []string {
	return append(os.Environ(), "DATABASE_URL=", "DATABASE_DIRECT_URL=", "LIMBROUND_DATA="+h.data)
}

// verb runs one verb of the program with --json and keeps its cost under a
// name; into, when not nil, takes the answer.
func (h *house) verb(ctx context.Context, name string, into any, args ...string) (result, error) {
	fmt.Fprintf(os.Stderr, "%8d trees: %s\n", h.ledger.trees, name)
	cmd := exec.CommandContext(ctx, h.bin, append(args, "--json")...)
	cmd.Env = h.env()
	var out, errOut bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errOut
	r, err := timed(h.w, cmd, &out, &errOut)
	if err != nil {
		return r, err
	}
	h.ledger.add(name, r.cost)
	if into != nil {
		if err := json.Unmarshal(r.out, into); err != nil {
			return r, fmt.Errorf("read answer of %s: %w", name, err)
		}
	}
	return r, nil
}

// psql runs one statement, or several, and answers what it prints.
func (h *house) psql(ctx context.Context, statements ...string) (result, error) {
	args := []string{"-h", h.socket, "-U", "limbround", "-d", "limbround", "-X", "-q", "-A", "-t", "-v", "ON_ERROR_STOP=1"}
	for _, s := range statements {
		args = append(args, "-c", s)
	}
	return command(ctx, h.w, "psql", args...)
}

func (h *house) number(ctx context.Context, query string) (int64, error) {
	r, err := h.psql(ctx, query)
	if err != nil {
		return 0, err
	}
	return strconv.ParseInt(strings.TrimSpace(string(r.out)), 10, 64)
}
