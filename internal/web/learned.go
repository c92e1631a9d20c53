package web

import (
	"net/url"

	"skep/internal/app"
)

// learnedData is what finished jugs told of this kitchen, by what it is about.
type learnedData struct {
	Topics    []app.TaughtTopic
	Forgotten []string // topics of which something no longer counts
	Said      string
	Undo      string // the topic that was just forgotten; "": none was
	Pending   int    // jugs that are being worked out, and may tell more
}

// learned tells what finished jugs told.
func (s *Server) learned(r *request) (answer, error) {
	taught, err := r.cellar.Learned(r.Context())
	if err != nil {
		return answer{}, err
	}
	data := learnedData{Topics: taught.Topics, Pending: taught.Pending}
	for _, topic := range []string{"yeast", "lock", "room", "cup", "losses"} {
		if _, gone := taught.Forgotten[topic]; gone {
			data.Forgotten = append(data.Forgotten, topic)
		}
	}
	if topic := r.FormValue("forgotten"); topic != "" {
		data.Said, data.Undo = "What jugs told of "+topic+" until now no longer counts.", topic
	}
	if topic := r.FormValue("back"); topic != "" {
		data.Said = "What jugs told of " + topic + " counts again."
	}
	return answer{Template: "learned", Title: "What Skep has learned", Place: placeKitchen, Data: data}, nil
}

// forgetLearned lets what was learned no longer count, or count again.
func (s *Server) forgetLearned(r *request) (answer, error) {
	topic, back := r.FormValue("topic"), r.FormValue("back") != ""
	if err := r.cellar.Forget(r.Context(), topic, back); err != nil {
		return answer{}, err
	}
	asked := url.Values{"forgotten": {topic}}
	if back {
		asked = url.Values{"back": {topic}}
	}
	return answer{To: withQuery("/kitchen/learned", asked)}, nil
}
