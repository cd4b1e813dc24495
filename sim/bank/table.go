package bank

// At is the value of a piecewise-linear table at x: pairs of x and value in
// rising x. Outside the table the end values hold. Two pairs at one x make a
// step; the second holds from there up.
func At(table [][2]float64, x float64) float64 {
	n := len(table)
	if x >= table[n-1][0] {
		return table[n-1][1]
	}
	if x < table[0][0] {
		return table[0][1]
	}
	i := n - 1
	for table[i][0] > x {
		i--
	}
	a, b := table[i], table[i+1]
	return a[1] + (b[1]-a[1])*(x-a[0])/(b[0]-a[0])
}

// Below is the value just below x, which differs from At at a step only.
func Below(table [][2]float64, x float64) float64 {
	n := len(table)
	if x > table[n-1][0] {
		return table[n-1][1]
	}
	if x <= table[0][0] {
		return table[0][1]
	}
	i := n - 1
	for table[i][0] >= x {
		i--
	}
	a, b := table[i], table[i+1]
	return a[1] + (b[1]-a[1])*(x-a[0])/(b[0]-a[0])
}
