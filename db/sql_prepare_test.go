package db_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"limbround/db/dbtest"
)

// Every SQL constant of the package is prepared on a migrated database, so that
// a misspelt column or a wrong type is found without running the method.

var (
	sqlStart = regexp.MustCompile(`^\s*(SELECT|INSERT|UPDATE|DELETE|WITH)\s`)
	sqlName  = regexp.MustCompile(`(?m)^\s*(?:const\s+)?\w+SQL\s*(?:string\s*)?=`)
)

type statement struct{ name, at, text string }

func TestEverySQLConstantPrepares(t *testing.T) {
	statements, naive := readStatements(t)
	if len(statements) < naive || naive == 0 {
		t.Errorf("found %d SQL constants by parsing, a plain scan of the text finds %d", len(statements), naive)
	}
	ctx := t.Context()
	c, err := pgx.Connect(ctx, dbtest.URL(t))
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close(ctx)
	for _, s := range statements {
		if _, err := c.Prepare(ctx, "", s.text); err != nil {
			t.Errorf("%s: %s does not prepare: %v", s.at, s.name, err)
		}
	}
	t.Logf("%d statements prepared", len(statements))
}

// readStatements parses the package's files. It also refuses SQL that stands
// outside a constant, where this test would not see it.
func readStatements(t *testing.T) (found []statement, naive int) {
	t.Helper()
	fset := token.NewFileSet()
	names, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	values := map[string]ast.Expr{}
	var specs []*ast.ValueSpec
	inConst := map[ast.Node]bool{}
	var files []*ast.File
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		naive += len(sqlName.FindAll(text, -1))
		f, err := parser.ParseFile(fset, name, text, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
		ast.Inspect(f, func(n ast.Node) bool {
			g, ok := n.(*ast.GenDecl)
			if !ok || g.Tok != token.CONST {
				return true
			}
			for _, s := range g.Specs {
				v := s.(*ast.ValueSpec)
				specs = append(specs, v)
				for i, id := range v.Names {
					if i < len(v.Values) {
						values[id.Name] = v.Values[i]
						inConst[v.Values[i]] = true
					}
				}
			}
			return true
		})
	}
	for _, v := range specs {
		for i, id := range v.Names {
			if i >= len(v.Values) {
				continue
			}
			at := fset.Position(id.Pos()).String()
			text, err := evaluate(v.Values[i], values)
			if strings.HasSuffix(id.Name, "SQL") && (err != nil || !sqlStart.MatchString(text)) {
				t.Errorf("%s: %s is not a constant SELECT, INSERT, UPDATE, DELETE or WITH (%v)", at, id.Name, err)
				continue
			}
			if err == nil && sqlStart.MatchString(text) {
				found = append(found, statement{id.Name, at, text})
			}
		}
	}
	for _, f := range files {
		ast.Inspect(f, func(n ast.Node) bool {
			if inConst[n] {
				return false
			}
			if b, ok := n.(*ast.BasicLit); ok && b.Kind == token.STRING {
				if text, err := strconv.Unquote(b.Value); err == nil && sqlStart.MatchString(text) {
					t.Errorf("%s: SQL outside a constant", fset.Position(b.Pos()))
				}
			}
			return true
		})
	}
	return found, naive
}

// evaluate joins string constants.
func evaluate(e ast.Expr, values map[string]ast.Expr) (string, error) {
	switch e := e.(type) {
	case *ast.BasicLit:
		if e.Kind != token.STRING {
			return "", fmt.Errorf("not a string")
		}
		return strconv.Unquote(e.Value)
	case *ast.Ident:
		if v, ok := values[e.Name]; ok && v != e {
			return evaluate(v, values)
		}
		return "", fmt.Errorf("%s is not a constant of this package", e.Name)
	case *ast.ParenExpr:
		return evaluate(e.X, values)
	case *ast.BinaryExpr:
		a, err := evaluate(e.X, values)
		if err != nil {
			return "", err
		}
		b, err := evaluate(e.Y, values)
		return a + b, err
	}
	return "", fmt.Errorf("not a constant string")
}
