package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"skep/internal/app/handbook"
)

func (d *door) handbookCommand() *cobra.Command {
	contents := handbook.Contents()
	c := &cobra.Command{
		Use:   "handbook [TOPIC]",
		Short: "Read up: how each answer is worked out, and what makers ask most",
		Example: `  skep handbook
  skep handbook when-to-bottle`,
		Args: noSuchCommand,
		RunE: func(*cobra.Command, []string) error {
			return d.answer(map[string]any{"chapters": contents}, func(p *page) {
				for _, chapter := range contents {
					p.title("%s", chapter.Title)
					for _, t := range chapter.Topics {
						p.fold(fmt.Sprintf("  %-21s ", t.Name), strings.Repeat(" ", 24), t.Title)
					}
				}
			})
		},
	}
	for _, chapter := range contents {
		c.AddGroup(&cobra.Group{ID: chapter.Title, Title: chapter.Title + ":"})
		for _, t := range chapter.Topics {
			c.AddCommand(d.topicCommand(chapter, t))
		}
	}
	return c
}

// topicCommand shows one topic. As a command of its own it is completed, and found by
// those who misspell it.
func (d *door) topicCommand(chapter handbook.Chapter, heading handbook.Heading) *cobra.Command {
	return &cobra.Command{
		Use:     heading.Name,
		Short:   heading.Title,
		GroupID: chapter.Title,
		Args:    exactly(),
		RunE: func(*cobra.Command, []string) error {
			topic, err := handbook.Read(heading.Name)
			if err != nil {
				return err
			}
			return d.answer(topic, func(p *page) { showTopic(p, topic) })
		},
	}
}

func showTopic(p *page, t handbook.Topic) {
	p.title("%s", t.Title)
	last := handbook.Subtitle
	for _, b := range t.Blocks {
		if b.Kind != handbook.Subtitle && last != handbook.Subtitle && (b.Kind != last || b.Kind == handbook.Paragraph) {
			p.WriteString("\n")
		}
		last = b.Kind
		switch b.Kind {
		case handbook.Subtitle:
			p.title("%s", b.Text)
		case handbook.Item:
			p.item("*", "%s", b.Text)
		case handbook.Caution:
			p.item("!", "%s", b.Text)
		case handbook.Example:
			p.WriteString(b.Text + "\n")
		default:
			p.say("%s", b.Text)
		}
	}
	if t.Valid != "" {
		p.title("Good for")
		p.say("%s.", t.Valid)
	}
	if len(t.Sources) > 0 {
		p.title("Sources")
		for _, s := range t.Sources {
			p.item("["+s.Key+"]", "%s (%s).", s.Citation, s.Status)
		}
	}
	if len(t.SeeAlso) > 0 {
		p.title("See also")
		for _, name := range t.SeeAlso {
			p.say("skep handbook %s", name)
		}
	}
}
