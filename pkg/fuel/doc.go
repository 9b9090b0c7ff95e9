// Package fuel knows petrol as an older carburettor meets it: how much air it
// needs with ethanol in it, how it expands, and when it boils in line or bowl.
//
//	hot, err := fuel.AssessHot(quantity.Celsius(58), 960*quantity.Hectopascal, fuel.Winter())
//	fmt.Println(hot)
//
// Fuel and its vapour burn: results about hot fuel say so.
package fuel
