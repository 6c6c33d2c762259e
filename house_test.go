// Package turnsole_test holds the house to its own rules: see ARCHITECTURE.md.
package turnsole_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// core packages touch no clock, file, network or changing global.
var core = []string{"compass", "place", "sun", "sky", "weather", "plane", "panel", "battery", "stand", "drive", "wiring", "sensor", "aim", "season", "reading", "loop", "hindsight", "trial"}

// rooms reads the table of ARCHITECTURE.md: what each package may import.
func rooms(t *testing.T) map[string][]string {
	page, err := os.ReadFile("ARCHITECTURE.md")
	if err != nil {
		t.Fatal(err)
	}
	quoted := regexp.MustCompile("`([^`]+)`")
	table := map[string][]string{}
	for line := range strings.Lines(string(page)) {
		cells := strings.Split(line, "|")
		if len(cells) != 5 || !strings.HasPrefix(line, "| `") {
			continue
		}
		name := quoted.FindStringSubmatch(cells[1])[1]
		table[name] = []string{}
		for _, m := range quoted.FindAllStringSubmatch(cells[3], -1) {
			table[name] = append(table[name], m[1])
		}
		if strings.Contains(cells[3], "anything but") {
			table[name] = append(table[name], "*")
		}
	}
	return table
}

func TestImportsFollowTheTable(t *testing.T) {
	table := rooms(t)
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "./...").Output()
	if err != nil {
		t.Fatal(err)
	}
	const module = "turnsole/"
	seen := map[string]bool{}
	for line := range strings.Lines(string(out)) {
		fields := strings.Fields(line)
		room, inside := strings.CutPrefix(fields[0], module)
		if !inside || room == "bench" { // the module's root and bench have only tests
			continue
		}
		seen[room] = true
		may, known := table[room]
		if !known {
			t.Errorf("package %s is not in the table of ARCHITECTURE.md", room)
		}
		for _, imported := range fields[1:] {
			other, ours := strings.CutPrefix(imported, module)
			if !ours {
				continue
			}
			free := slices.Contains(may, "*") && !strings.HasPrefix(other, "cmd/")
			if !free && !slices.Contains(may, other) {
				t.Errorf("%s imports %s; the table allows %v", room, other, may)
			}
		}
	}
	for room := range table {
		if !seen[room] {
			t.Errorf("the table has %s, the code has not", room)
		}
	}
}

// forbidden are packages through which the core could reach outside.
var forbidden = []string{"os", "os/exec", "os/signal", "net", "net/http", "syscall", "log", "log/slog", "io/ioutil", "flag", "math/rand", "unsafe", "path/filepath", "embed", "crypto/rand", "os/user"}

// ticking are functions that read a clock or a hidden generator.
var ticking = map[string][]string{
	"time":    {"Now", "Since", "Until", "Sleep", "After", "Tick", "NewTimer", "NewTicker", "AfterFunc", "LoadLocation", "Local"},
	"rand":    {"Int", "IntN", "Float64", "NormFloat64", "ExpFloat64", "Perm", "Shuffle", "Uint64", "Int64", "N", "Uint32", "Float32", "Int32", "Int32N", "Int64N", "Uint32N", "Uint64N", "Uint", "UintN"},
	"context": {"WithTimeout", "WithDeadline"},
}

func TestCoreTouchesNothingOutside(t *testing.T) {
	for _, room := range core {
		files, names := parseRoom(t, room)
		for path, file := range files {
			for _, spec := range file.Imports {
				if p := strings.Trim(spec.Path.Value, `"`); slices.Contains(forbidden, p) {
					t.Errorf("%s imports %s", path, p)
				}
			}
			ast.Inspect(file, func(n ast.Node) bool {
				switch n := n.(type) {
				case *ast.SelectorExpr:
					if x, ok := n.X.(*ast.Ident); ok && x.Obj == nil && slices.Contains(ticking[x.Name], n.Sel.Name) {
						t.Errorf("%s calls %s.%s", path, x.Name, n.Sel.Name)
					}
				case *ast.AssignStmt:
					for _, left := range n.Lhs {
						if name := global(left, names); name != "" && n.Tok != token.DEFINE {
							t.Errorf("%s changes the global %s", path, name)
						}
					}
				case *ast.IncDecStmt:
					if name := global(n.X, names); name != "" {
						t.Errorf("%s changes the global %s", path, name)
					}
				case *ast.FuncDecl:
					if n.Recv == nil && n.Name.Name == "init" {
						t.Errorf("%s has an init function", path)
					}
				}
				return true
			})
		}
	}
}

// parseRoom parses a package's code without its tests, and names its globals.
func parseRoom(t *testing.T, room string) (map[string]*ast.File, map[string]*ast.ValueSpec) {
	files, names := map[string]*ast.File{}, map[string]*ast.ValueSpec{}
	set := token.NewFileSet()
	err := filepath.WalkDir(room, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		file, err := parser.ParseFile(set, path, nil, 0)
		if err != nil {
			return err
		}
		files[path] = file
		for _, decl := range file.Decls {
			if g, ok := decl.(*ast.GenDecl); ok && g.Tok == token.VAR {
				for _, spec := range g.Specs {
					for _, name := range spec.(*ast.ValueSpec).Names {
						names[name.Name] = spec.(*ast.ValueSpec)
					}
				}
			}
		}
		return nil
	})
	if err != nil || len(files) == 0 {
		t.Fatalf("%s: %d files, %v", room, len(files), err)
	}
	return files, names
}

// global names the package's variable that an expression writes to, if any.
func global(e ast.Expr, names map[string]*ast.ValueSpec) string {
	for {
		switch x := e.(type) {
		case *ast.IndexExpr:
			e = x.X
		case *ast.SelectorExpr:
			e = x.X
		case *ast.StarExpr:
			e = x.X
		case *ast.ParenExpr:
			e = x.X
		case *ast.Ident:
			if names[x.Name] == nil {
				return ""
			}
			if x.Obj == nil { // not of this file, so of the package
				return x.Name
			}
			if spec, ok := x.Obj.Decl.(*ast.ValueSpec); ok && names[x.Name] == spec {
				return x.Name
			}
			return ""
		default:
			return ""
		}
	}
}
