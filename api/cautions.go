package api

// notes say how to read every answer of one year.
var notes = []string{
	"One year answers for that year only. A typical year has no bad winter: expect darker years.",
	"What starts and stops on thresholds is sensitive to small changes: read hours as about so many, not to the decimal.",
}

// Cautions go with every answer.
var Cautions = []string{
	"A simulation is no design approval. Local codes and licensed practice decide.",
	"Batteries in parallel can drive very high short-circuit currents: fuses need the breaking capacity, and every string its means of isolation.",
	"A DC arc has no current zero and does not put itself out. A disconnect that opens while the array charges can raise the bus voltage.",
	"Lithium cells must not be charged below 0 °C. An over-discharged bank is woken only by its maker's procedure.",
	"Lead-acid cells give off hydrogen while they are charged: ventilate, no sparks, and acid burns.",
	"Generator exhaust holds carbon monoxide: never indoors or near openings. Guard against back-feed and fuel spills.",
}
