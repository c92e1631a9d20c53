# Follows the jugs of jugs.csv by lsoda and prints: seconds (the best of three), jugs, sum of sugar over 100 times.
library(deSolve)
dyn.load(paste0("peer", .Platform$dynlib.ext))
jugs <- as.matrix(read.csv("jugs.csv"))
times <- c(0, (1:100) * 14.4)
follow <- function() {
  sugar <- 0
  for (i in seq_len(nrow(jugs))) {
    j <- jugs[i, ]
    end <- lsoda(j[11:13], times, func = "rates", parms = j[1:10], dllname = "peer", initfunc = "init",
                 rtol = 1e-6, atol = 1e-9, maxsteps = 50000)
    sugar <- sugar + sum(end[-1, 4])
  }
  sugar
}
took <- min(replicate(3, system.time(sugar <<- follow())[["elapsed"]]))
cat(sprintf("%.9g %d %.12g\n", took, nrow(jugs), sugar))
