// Command turnsole answers a builder's questions about a small stand that
// turns a solar panel after the sun.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"time"

	"charm.land/lipgloss/v2"
	"github.com/alecthomas/kong"

	"turnsole/answer"
	"turnsole/rigfile"
)

// The exit codes of every command.
const (
	exitDone        = 0
	exitFound       = 1 // check found problems, or a trial has no number to give
	exitBadInput    = 2
	exitMachine     = 3
	exitInterrupted = 130
)

// commands is what can be asked. Flags that begin with a minus sign after them
// are coordinates.
type commands struct {
	Demo    demoCommand    `cmd:"" help:"Compare the ways of aiming for an invented hut in the hills."`
	New     newCommand     `cmd:"" help:"Write a commented rig file to begin with."`
	Check   checkCommand   `cmd:"" help:"Read a rig file strictly and say what is wrong or odd in it."`
	Sun     sunCommand     `cmd:"" help:"Say where the sun is at an instant, and when it rises and sets."`
	Worth   worthCommand   `cmd:"" help:"Compare every way of aiming over a year, down to what is left to use."`
	Notches notchesCommand `cmd:"" help:"Find the best tilts to cut notches for, and the days to change them."`
	Stand   standCommand   `cmd:"" help:"Say which tilts the stand gives, and which wind it stands."`
	Drive   driveCommand   `cmd:"" help:"Say how fine and how strong the drive is, what holds the panel, and what all that draws."`
	Wire    wireCommand    `cmd:"" help:"Size cables and fuses, and say what the current sensor can see."`
	Aim     aimCommand     `cmd:"" help:"Run the controller in closed loop under clouds, and find better settings."`
	Import  importCommand  `cmd:"" help:"Read a log of readings, say what it refuses and why, and write it as a plain log."`
	Trial   trialCommand   `cmd:"" help:"Measure what turning really brings: plan a trial, and tell its result."`
	Sheet   sheetCommand   `cmd:"" help:"Print what to buy, cut, drill, wire, set and set up: PDF, true to scale."`
	Version versionCommand `cmd:"" help:"Say which version this is."`
	Formats formatsCommand `cmd:"" hidden:"" help:"Write docs/formats.md from the definitions of this program."`
}

// desk is what a command works with: where it writes, and what stops it.
type desk struct {
	ctx         context.Context
	out, errOut io.Writer
	now         func() time.Time
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
}

// found is the error of a command that did its work and found something wrong.
var errFound = errors.New("problems were found")

// paper is standard output, remembering the first thing that went wrong with it.
type paper struct {
	io.Writer
	err error
}

func (p *paper) Write(b []byte) (int, error) {
	n, err := p.Writer.Write(b)
	if p.err == nil {
		p.err = err
	}
	return n, err
}

func run(ctx context.Context, args []string, stdout, errOut io.Writer) int {
	out := &paper{Writer: stdout}
	code := obey(ctx, args, out, errOut)
	if out.err != nil && code != exitInterrupted {
		fmt.Fprintln(errOut, "turnsole: standard output:", out.err)
		return exitMachine
	}
	return code
}

func obey(ctx context.Context, args []string, out *paper, errOut io.Writer) int {
	var asked commands
	done := false
	parser, err := kong.New(&asked,
		kong.Name("turnsole"),
		kong.Description("Is it worth turning your solar panel after the sun, and how?\n\nBegin with: turnsole demo"),
		kong.Writers(out, errOut),
		kong.Exit(func(int) { done = true }),
		kong.WithHyphenPrefixedParameters(true),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, WrapUpperBound: 80}),
	)
	if err != nil {
		fmt.Fprintln(errOut, "turnsole:", err)
		return exitMachine
	}
	chosen, err := parser.Parse(args)
	if done { // help was asked for
		return exitDone
	}
	if err != nil {
		fmt.Fprintf(errOut, "turnsole: %v\nturnsole --help lists the commands and what they take.\n", err)
		return exitBadInput
	}
	err = chosen.Run(&desk{ctx: ctx, out: out, errOut: errOut, now: time.Now})
	if out.err != nil && ctx.Err() == nil {
		return exitMachine // run says why
	}
	return exitCode(err, errOut)
}

// exitCode tells the person what went wrong and the shell what kind of wrong.
func exitCode(err error, errOut io.Writer) int {
	var input *answer.BadInput
	var problems rigfile.Problems
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, errFound):
		return exitFound
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(errOut, "turnsole: interrupted; nothing was written")
		return exitInterrupted
	case errors.As(err, &problems):
		for _, p := range problems {
			fmt.Fprintln(errOut, p.Error())
		}
		return exitBadInput
	case errors.As(err, &input):
		fmt.Fprintln(errOut, "turnsole:", strings.TrimPrefix(err.Error(), "turnsole: "))
		return exitBadInput
	}
	fmt.Fprintln(errOut, "turnsole:", err)
	return exitMachine
}

// put writes an answer as JSON, or for reading.
func put[A, J any](d *desk, asJSON bool, a A, wire func(A) J, tell func(io.Writer, A)) error {
	if asJSON {
		return writeJSON(d.out, wire(a))
	}
	var text strings.Builder
	tell(&text, a)
	_, err := lipgloss.Fprint(d.out, text.String())
	return err
}

// rigFlags are the flags of every command that reads a rig file.
type rigFlags struct {
	File string   `arg:"" help:"Rig file."`
	Set  []string `help:"Override a key of the rig file, such as stand.tilt=55. May repeat." placeholder:"KEY=VALUE" sep:"none"`
	JSON bool     `name:"json" help:"One JSON object on standard output."`
}

func (f rigFlags) read() (*rigfile.Rig, error) {
	src, err := readInput(f.File)
	if err != nil {
		return nil, err
	}
	return rigfile.Read(f.File, src, f.Set)
}

// biggestRigFile is far above any rig file that a person writes.
const biggestRigFile = 1 << 20

func readInput(path string) ([]byte, error) {
	file, err := openInput(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	src, err := io.ReadAll(io.LimitReader(file, biggestRigFile+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("%s: %w", path, err)
	case len(src) > biggestRigFile:
		return nil, &answer.BadInput{Err: fmt.Errorf("%s: more than 1 MiB: that is no rig file", path)}
	}
	return src, nil
}

// openInput opens a file that the person named: one that is not there is their
// mistake, one that can't be read is the machine's.
func openInput(path string) (*os.File, error) {
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() && !info.IsDir() {
		return nil, &answer.BadInput{Err: fmt.Errorf("%s: this is no ordinary file; save it as one first", path)}
	}
	file, err := os.Open(path)
	if errors.Is(err, os.ErrNotExist) {
		return nil, &answer.BadInput{Err: fmt.Errorf("%s: there is no such file", path)}
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, errors.Unwrap(err))
	}
	if info, err := file.Stat(); err == nil && info.IsDir() {
		file.Close()
		return nil, &answer.BadInput{Err: fmt.Errorf("%s: this is a folder, not a file", path)}
	}
	return file, nil
}
