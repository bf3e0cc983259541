package batch

import (
	"falsework/cmd/falsework/report"
)

// An Answer is what the process of a part says on its standard output when
// it is done, as JSON.
type Answer struct {
	// Row is what the summary says of the part, but for its name. Files are
	// names in the folder that the process was given.
	Row report.BatchPart `json:"row"`
	// Copy says that the part is to be copied as it is.
	Copy bool `json:"copy"`
	// Interrupted says that the process was told to stop.
	Interrupted bool `json:"interrupted"`
}
