package rib

import "os"

func init() { debug = os.Getenv("RIB_DEBUG") != "" }
