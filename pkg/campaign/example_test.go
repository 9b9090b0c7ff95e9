package campaign_test

import (
	"fmt"
	"log"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

func ExampleOpen() {
	c, err := campaign.Open("../../testdata/demo/campaign.toml")
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(c)
	fmt.Println(c.DriveNames()[0])
	// Output:
	// ../../testdata/demo/campaign.toml: demo saloon, 2 configurations, 3 devices, 6 drives
	// open filters, first run
}

// What the file says of a drive can be changed before it is joined.
func ExampleCampaign_Request() {
	c, err := campaign.Open("../../testdata/demo/campaign.toml")
	if err != nil {
		log.Fatal(err)
	}
	r, err := c.Request("open filters, first run")
	if err != nil {
		log.Fatal(err)
	}
	r.Sources = r.Sources[1:2] // logger A alone
	d, err := drive.Join(r)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(d.RoleList())
	// Output:
	// [ambient engine-bay intake top-tank]
}
