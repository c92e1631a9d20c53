package cli

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/signal"
	"runtime/debug"
	"strings"
	"syscall"
	"time"

	"github.com/spf13/cobra"
	"rsc.io/qr"

	"skep/internal/app"
	"skep/internal/web"
)

// usualPort is where the pages are when nobody says otherwise.
const usualPort = 7537

// pagesAsked is what skep serve was asked for.
type pagesAsked struct {
	port      int
	lan       bool
	hosts     []string
	cert, key string
}

func (d *door) serveCommand() *cobra.Command {
	var asked pagesAsked
	c := &cobra.Command{
		Use:   "serve",
		Short: "Open the pages of your cellar in a browser",
		Long: `Open the pages of your cellar in a browser: the whole job, on this machine, without a
network. They stay open until Ctrl-C.

With --lan they are open to your home network too, to devices that were paired once: a
code is shown for the first, and the page Devices of this machine makes more. What goes
over the network can be read along in it unless --cert and --key name a certificate.`,
		Example: `  skep serve
  skep serve --port 8080
  skep serve --lan
  skep serve --lan --cert cellar.crt --key cellar.key`,
		Args: exactly(),
		RunE: func(c *cobra.Command, _ []string) error {
			debug.SetGCPercent(100) // a program that stays: its memory counts for more than a fifth of a forecast's time
			if asked.port < 0 || asked.port > 65535 {
				return &usageError{err: fmt.Errorf("--port %d is outside 0 to 65535", asked.port), hint: "0 takes any free port"}
			}
			if (asked.cert == "") != (asked.key == "") {
				return &usageError{err: errors.New("--cert and --key go together"), hint: "name both files, or none"}
			}
			if len(asked.hosts) > 0 && !asked.lan {
				return &usageError{err: errors.New("--host goes with --lan"), hint: "without it only this machine is served"}
			}
			return d.withCellar(func(cellar *app.Cellar) error {
				ctx, stop := signal.NotifyContext(c.Context(), syscall.SIGINT, syscall.SIGTERM)
				defer stop()
				return d.serve(ctx, cellar, asked)
			})
		},
	}
	c.Flags().IntVar(&asked.port, "port", usualPort, "port of this machine; 0 takes any free one")
	c.Flags().BoolVar(&asked.lan, "lan", false, "serve the home network too, to paired devices")
	c.Flags().StringArrayVar(&asked.hosts, "host", nil, `with --lan, another name or address of this machine in the network: "cellar.home"`)
	c.Flags().StringVar(&asked.cert, "cert", "", "file of a TLS certificate (PEM)")
	c.Flags().StringVar(&asked.key, "key", "", "file of its private key (PEM)")
	return c
}

// serve opens the pages, tells where they are, and answers until ctx ends.
func (d *door) serve(ctx context.Context, cellar *app.Cellar, asked pagesAsked) (err error) {
	scheme, secure := "http", (*tls.Config)(nil)
	if asked.cert != "" {
		pair, err := tls.LoadX509KeyPair(asked.cert, asked.key)
		if err != nil {
			return fmt.Errorf("--cert %s: %w", asked.cert, err)
		}
		scheme, secure = "https", &tls.Config{Certificates: []tls.Certificate{pair}, MinVersion: tls.VersionTLS12}
	}
	host := "127.0.0.1"
	if asked.lan {
		host = ""
	}
	listener, err := (&net.ListenConfig{}).Listen(ctx, "tcp", net.JoinHostPort(host, fmt.Sprint(asked.port)))
	if err != nil {
		return fmt.Errorf("%w; --port names another", err)
	}
	port := listener.Addr().(*net.TCPAddr).Port
	told := pagesOpen{Address: fmt.Sprintf("%s://localhost:%d", scheme, port)}
	options := web.Options{}
	if asked.lan {
		if options.Hosts, err = homeHosts(asked.hosts); err != nil {
			return errors.Join(err, listener.Close())
		}
		for _, h := range options.Hosts {
			options.Lan = append(options.Lan, fmt.Sprintf("%s://%s", scheme, net.JoinHostPort(h, fmt.Sprint(port))))
		}
	}
	pages := web.New(cellar, options)
	ctx, stop := context.WithCancel(ctx)
	worked := make(chan error, 1)
	go func() { worked <- pages.Work(ctx) }()
	defer func() {
		stop()
		err = errors.Join(err, <-worked, pages.Close())
	}()
	if told.Lan = options.Lan; len(told.Lan) > 0 {
		told.Code = pages.Code()
	}
	if err := d.answer(told, told.show); err != nil {
		return errors.Join(err, listener.Close())
	}
	if len(told.Lan) > 0 && !d.json && isTerminal(d.out) {
		if err := showCode(d.out, told.Lan[0]+"/pair#"+told.Code); err != nil {
			return errors.Join(err, listener.Close())
		}
	}
	if secure != nil {
		listener = tls.NewListener(listener, secure)
	}
	return answerUntil(ctx, listener, pages)
}

// pagesOpen tells where the pages are.
type pagesOpen struct {
	Address string   `json:"address"`
	Lan     []string `json:"lan,omitempty"`
	Code    string   `json:"code,omitempty"` // lets one device in, within ten minutes
}

func (o pagesOpen) show(p *page) {
	p.say("The pages are open at %s until you press Ctrl-C.", o.Address)
	if len(o.Lan) > 0 {
		p.say("In the home network: %s. To pair a phone, open %s/pair on it and type %s within ten minutes.", strings.Join(o.Lan, ", "), o.Lan[0], o.Code)
	}
}

// homeHosts are the names that were told and the addresses of this machine in the networks
// of homes.
//
// Errors: there are none.
func homeHosts(told []string) ([]string, error) {
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		return nil, fmt.Errorf("the addresses of this machine: %w", err)
	}
	var hosts []string
	for _, name := range told {
		hosts = append(hosts, strings.ToLower(name))
	}
	for _, a := range addresses {
		if n, ok := a.(*net.IPNet); ok && n.IP.To4() != nil && n.IP.IsPrivate() {
			hosts = append(hosts, n.IP.String())
		}
	}
	if len(hosts) == 0 {
		return nil, errors.New("this machine has no address in a home network; connect it, name one with --host, or leave out --lan")
	}
	return hosts, nil
}

// isTerminal says that a person may be reading along.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// showCode draws a QR code in black on white, two rows of modules to a line of text.
func showCode(w io.Writer, text string) error {
	code, err := qr.Encode(text, qr.L)
	if err != nil {
		return err
	}
	const margin = 2
	var b strings.Builder
	for y := -margin; y < code.Size+margin; y += 2 {
		b.WriteString("\x1b[30;107m")
		for x := -margin; x < code.Size+margin; x++ {
			switch top, below := code.Black(x, y), code.Black(x, y+1); {
			case top && below:
				b.WriteRune('█')
			case top:
				b.WriteRune('▀')
			case below:
				b.WriteRune('▄')
			default:
				b.WriteRune(' ')
			}
		}
		b.WriteString("\x1b[0m\n")
	}
	_, err = io.WriteString(w, b.String())
	return err
}

// answerUntil answers until ctx ends, and then lets what is under way come to its end.
func answerUntil(ctx context.Context, l net.Listener, h http.Handler) error {
	server := &http.Server{
		Handler: h, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 20 * time.Second,
		WriteTimeout: 60 * time.Second, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 32 << 10,
	}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(l) }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	patience, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	if err := server.Shutdown(patience); err != nil {
		return err
	}
	if err := <-ended; !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}
