package handbook

import (
	"errors"
	"fmt"
	"strings"
)

// marks begin a block.
var marks = []struct {
	mark string
	kind Kind
}{{"## ", Subtitle}, {"- ", Item}, {"> ", Caution}}

// blocks parts the text of a topic, after its title.
func blocks(text string) ([]Block, error) {
	lines := strings.Split(text, "\n")
	if !strings.HasPrefix(lines[0], "# ") {
		return nil, errors.New("the first line is no title")
	}
	var all []Block
	open := false // the last block goes on in the next line
	for i := 1; i < len(lines); i++ {
		line := lines[i]
		if line == "```console" {
			begin := i + 1
			for i++; i < len(lines) && lines[i] != "```"; i++ {
			}
			if i == len(lines) {
				return nil, fmt.Errorf("line %d: the console block does not end", begin)
			}
			all = append(all, Block{Example, strings.Join(lines[begin:i], "\n")})
			open = false
			continue
		}
		kind, words := Paragraph, strings.TrimSpace(line)
		for _, m := range marks {
			if rest, ok := strings.CutPrefix(line, m.mark); ok {
				kind, words, open = m.kind, rest, false
			}
		}
		words = strings.ReplaceAll(words, "`", "")
		switch {
		case words == "":
			open = false
		case open:
			all[len(all)-1].Text += " " + words
		default:
			all = append(all, Block{kind, words})
			open = kind != Subtitle
		}
	}
	return all, nil
}
