package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"strconv"
	"time"

	"turnsole/answer"
	"turnsole/page"
	"turnsole/rigfile"
)

type pageCommand struct {
	File string   `arg:"" help:"Rig file."`
	Set  []string `help:"Override a key of the rig file, such as stand.tilt=55. May repeat." placeholder:"KEY=VALUE" sep:"none"`
	Port int      `default:"0" help:"Port on this machine; any free one if not given." placeholder:"N"`
}

// How long the server waits: for a browser to finish asking, for answers on
// their way when it is stopped, and for a connection that rests.
const (
	askWithin   = 60 * time.Second
	stopWithin  = 2 * time.Second
	restAtMost  = 2 * time.Minute
	headAtMost  = 10 * time.Second
	headerBytes = 64 << 10
)

// Run serves the page until it is interrupted, which is how it is meant to end.
func (c *pageCommand) Run(d *desk) error {
	if c.Port < 0 || c.Port > 65535 {
		return &answer.BadInput{Err: fmt.Errorf("--port %d: give 1 to 65535, or leave it out for any free one", c.Port)}
	}
	if err := c.reads(); err != nil {
		return err
	}
	listener, err := net.Listen("tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(c.Port)))
	if err != nil {
		return fmt.Errorf("port %d cannot be had, it may be in use: choose another by --port, or leave it out (%w)", c.Port, errors.Unwrap(err))
	}
	defer listener.Close()
	port := strconv.Itoa(listener.Addr().(*net.TCPAddr).Port)
	handler, err := page.New(page.Options{Name: c.File, Sets: c.Set, Version: version, Now: d.now, Open: besideRig(c.File),
		Read: func() ([]byte, error) { return readInput(c.File) }, Hosts: []string{"127.0.0.1:" + port, "localhost:" + port}})
	if err != nil {
		return err
	}
	fmt.Fprintf(d.out, "http://127.0.0.1:%s\nOpen this address in a browser on this machine. Ctrl-C ends it.\n", port)
	return serve(d.ctx, listener, handler)
}

// reads reports a rig file that is not there or cannot be read. What is wrong
// in it the page itself tells, since it can be put right meanwhile.
func (c *pageCommand) reads() error {
	src, err := readInput(c.File)
	if err != nil {
		return err
	}
	_, err = rigfile.Read(c.File, src, c.Set)
	var problems rigfile.Problems
	if errors.As(err, &problems) && len(c.Set) > 0 {
		for _, p := range problems {
			if p.Set != "" {
				return err
			}
		}
	}
	return nil
}

// serve answers until ctx ends; work under way is then stopped.
func serve(ctx context.Context, listener net.Listener, handler http.Handler) error {
	working, stop := context.WithCancel(context.Background())
	defer stop()
	server := &http.Server{Handler: handler, ReadHeaderTimeout: headAtMost, ReadTimeout: askWithin, IdleTimeout: restAtMost, MaxHeaderBytes: headerBytes,
		BaseContext: func(net.Listener) context.Context { return working }}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(listener) }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	stop()
	late, cancel := context.WithTimeout(context.Background(), stopWithin)
	defer cancel()
	if server.Shutdown(late) != nil {
		_ = server.Close()
	}
	return nil
}
