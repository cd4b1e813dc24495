# What if the modules held more? Dark hours and lowest state of charge by the
# ampere-hours of a module, as a plot in capacity.svg, and as text. Needs R alone, and
# the system stored under the name hut (README.md shows how):
#   BANKYEAR=http://127.0.0.1:8080 Rscript capacity.R
end <- function(text) { message(text); quit(status = 1) }
if (!nzchar(Sys.getenv("BANKYEAR"))) end("BANKYEAR is missing: the service, such as http://127.0.0.1:8080")
ask <- paste0(Sys.getenv("BANKYEAR"), "/v1/systems/hut/figures.csv?vary=bank.module.capacity_ah:60..200/20&figures=downtime_h,lowest_soc_fraction&errors=as_text")
lines <- readLines(ask, warn = FALSE)
if (startsWith(lines[1], "error:")) end(lines[1])
table <- read.csv(text = lines, check.names = FALSE)
if ("error" %in% names(table)) end(paste(table$error, collapse = "\n"))
ah <- table[["bank.module.capacity_ah"]]
svg("capacity.svg", width = 6, height = 5)
par(mfrow = c(2, 1), mar = c(4, 4, 1, 1))
plot(ah, table$downtime_h, type = "b", pch = 19, xlab = "", ylab = "dark hours a year (h)", ylim = c(0, max(table$downtime_h, 1)))
plot(ah, table$lowest_soc_fraction, type = "b", pch = 19, xlab = "capacity of a module (Ah)", ylab = "lowest SoC (fraction)", ylim = c(0, 1))
invisible(dev.off())
cat(sprintf("%g Ah: %.0f h dark, lowest state of charge %.2f\n", ah, table$downtime_h, table$lowest_soc_fraction), sep = "")
