package web

import (
	"strings"

	"skep/internal/app/handbook"
)

// handbookRoutes are the addresses of the handbook.
func (s *Server) handbookRoutes() {
	s.page("GET /handbook", s.handbook)
	s.page("GET /handbook/{topic}", s.topic)
}

type handbookData struct {
	Search   string
	Found    []handbook.Found
	Chapters []handbook.Chapter
}

// handbook is its contents, and what was searched for in it.
func (s *Server) handbook(r *request) (answer, error) {
	f, err := r.form()
	if err != nil {
		return answer{}, err
	}
	data := handbookData{Search: f.Get("q"), Chapters: handbook.Contents()}
	if data.Found, err = handbook.Search(data.Search); err != nil {
		return answer{}, err
	}
	return answer{Template: "handbook", Title: "Handbook", Place: placeHandbook, Data: data}, nil
}

// topicData is one topic, its lists put together.
type topicData struct {
	handbook.Topic
	Parts []topicPart
	Calc  bool // a calculation has this name
	Also  []handbook.Heading
}

// topicPart is a block, or several items that are one list.
type topicPart struct {
	Kind  handbook.Kind
	Text  string
	Items []topicItem
}

// topicItem is an item, with a mark for each word that it explains.
type topicItem struct {
	Marks []string
	Text  string
}

func (s *Server) topic(r *request) (answer, error) {
	topic, err := handbook.Read(r.PathValue("topic"))
	if err != nil {
		return s.notFound(r)
	}
	data := topicData{Topic: topic}
	_, data.Calc = calculationNamed(topic.Name)
	for _, b := range topic.Blocks {
		if b.Kind != handbook.Item {
			data.Parts = append(data.Parts, topicPart{Kind: b.Kind, Text: b.Text})
			continue
		}
		if n := len(data.Parts); n == 0 || data.Parts[n-1].Kind != handbook.Item {
			data.Parts = append(data.Parts, topicPart{Kind: handbook.Item})
		}
		list := &data.Parts[len(data.Parts)-1]
		item := topicItem{Text: b.Text}
		for _, term := range topic.Terms(b) {
			item.Marks = append(item.Marks, termMark(term))
		}
		list.Items = append(list.Items, item)
	}
	titles := map[string]string{}
	for _, c := range handbook.Contents() {
		for _, h := range c.Topics {
			titles[h.Name] = h.Title
		}
	}
	for _, name := range topic.SeeAlso {
		data.Also = append(data.Also, handbook.Heading{Name: name, Title: titles[name]})
	}
	return answer{Template: "topic", Title: topic.Title, Place: placeHandbook, Data: data}, nil
}

// termMark is the mark of a word of the trade within its page: "% vol" is at "vol".
func termMark(term string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(term), func(r rune) bool {
		return (r < 'a' || r > 'z') && (r < '0' || r > '9')
	}), "-")
}
