package cli

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os/signal"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"skep/internal/app"
	"skep/internal/web"
)

// usualPort is where the pages are when nobody says otherwise.
const usualPort = 7537

func (d *door) serveCommand() *cobra.Command {
	var port int
	c := &cobra.Command{
		Use:   "serve",
		Short: "Open the pages of your cellar in a browser",
		Long: `Open the pages of your cellar in a browser: the whole job, on this machine, without a
network. They stay open until Ctrl-C.`,
		Example: `  skep serve
  skep serve --port 8080`,
		Args: exactly(),
		RunE: func(c *cobra.Command, _ []string) error {
			if port < 0 || port > 65535 {
				return &usageError{err: fmt.Errorf("--port %d is outside 0 to 65535", port), hint: "0 takes any free port"}
			}
			return d.withCellar(func(cellar *app.Cellar) error {
				ctx, stop := signal.NotifyContext(c.Context(), syscall.SIGINT, syscall.SIGTERM)
				defer stop()
				listener, err := (&net.ListenConfig{}).Listen(ctx, "tcp", fmt.Sprintf("127.0.0.1:%d", port))
				if err != nil {
					return err
				}
				address := "http://" + listener.Addr().String()
				if err := d.answer(map[string]string{"address": address}, func(p *page) {
					p.say("The pages are open at %s until you press Ctrl-C.", address)
				}); err != nil {
					return errors.Join(err, listener.Close())
				}
				return serve(ctx, listener, web.New(cellar, web.Options{}))
			})
		},
	}
	c.Flags().IntVar(&port, "port", usualPort, "port of this machine; 0 takes any free one")
	return c
}

// serve answers until ctx ends, and then lets what is under way come to its end.
func serve(ctx context.Context, l net.Listener, h http.Handler) error {
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
