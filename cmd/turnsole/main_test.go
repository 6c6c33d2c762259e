package main

import (
	"context"
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"turnsole": func() {
		os.Exit(run(context.Background(), os.Args[1:], os.Stdout, os.Stderr))
	}})
}

// TestScenarios runs the real program through whole scenarios, one in each
// file of testdata.
func TestScenarios(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata",
		Setup: func(env *testscript.Env) error {
			env.Setenv("DATA", os.Getenv("TURNSOLE_DATA"))
			return nil
		},
		Condition: func(name string) (bool, error) { return name == "data" && os.Getenv("TURNSOLE_DATA") != "", nil },
	})
}

func TestFormatsPageIsTrue(t *testing.T) {
	page, err := os.ReadFile("../../docs/formats.md")
	if err != nil {
		t.Fatal(err)
	}
	if string(page) != formats() {
		t.Error("docs/formats.md no longer says what the program does; run go generate ./cmd/turnsole")
	}
}
