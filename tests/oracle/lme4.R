# Expected values of the mixed model, from lme4 (Bates, Maechler, Bolker & Walker 2015, JSS 67(1)).
# Rscript lme4.R OUTFOLDER writes mixed_books.csv and lme4_expected.csv there.
# The books are simulated (fixed seed) and mean nothing; Penicillin and Pastes are lme4's own examples
# (Davies & Goldsmith 1972, Statistical Methods in Research and Production, 4th ed.).
suppressMessages(library(lme4))
out <- commandArgs(trailingOnly = TRUE)[1]
set.seed(20240917, kind = "Mersenne-Twister", normal.kind = "Inversion", sample.kind = "Rejection")

# Uneven on purpose: some levels have many picks, some one; trees of 1 to 12 picks, one species and crew a tree.
book <- function(trees, species, cuts, estimators, cranes, sd_species, sd_cut, sd_both, sd_estimator, sd_crane, sd_tree, sd_rest, mean) {
    skew <- function(n, levels) sample(levels, n, replace = TRUE, prob = 1 / seq_len(levels))
    size <- pmin(12, 1 + rgeom(trees, 0.25))
    tree <- rep(seq_len(trees), size)
    tree_species <- skew(trees, species)
    tree_estimator <- skew(trees, estimators)
    tree_crane <- skew(trees, cranes)
    n <- length(tree)
    cut <- skew(n, cuts)
    # now and then somebody else estimates
    estimator <- ifelse(runif(n) < 0.2, sample(estimators, n, replace = TRUE), tree_estimator[tree])
    d <- data.frame(tree, species = tree_species[tree], cut, both = (tree_species[tree] - 1) * cuts + cut, estimator, crane = tree_crane[tree])
    effect <- function(id, levels, sd) rnorm(levels, 0, sd)[id]
    d$e <- round(mean + effect(d$species, species, sd_species) + effect(d$cut, cuts, sd_cut) + effect(d$both, species * cuts, sd_both) +
        effect(d$estimator, estimators, sd_estimator) + effect(d$crane, cranes, sd_crane) + effect(d$tree, trees, sd_tree) + rnorm(n, 0, sd_rest), 6)
    d
}
books <- list(
    a = book(60, 6, 4, 5, 3, .08, .05, .04, .06, .03, .08, .15, .05),
    b = book(150, 12, 5, 8, 4, .05, .08, .03, .00, .02, .10, .12, -.02), # no estimator differs from another
    c = book(25, 4, 3, 3, 2, .10, .02, .02, .08, .01, .05, .20, .10),
    d = book(300, 20, 6, 10, 5, .06, .04, .05, .05, .04, .12, .10, .00),
    e = book(90, 8, 5, 6, 3, .00, .06, .00, .04, .00, .09, .15, .03),
    f = book(40, 5, 4, 4, 3, .05, .05, .05, .05, .05, .00, .15, .00))

con <- file(file.path(out, "mixed_books.csv"), "w")
cat("# simulated picks (fixed seed, tests/oracle/lme4.R) and lme4's example data Penicillin and Pastes; level 0: not a factor there\n",
    "# Penicillin: tree = plate, species = sample. Pastes: tree = batch:cask, species = batch. e is the response.\n",
    "book,tree,species,cut,both,estimator,crane,e\n", sep = "", file = con)
pen <- with(Penicillin, data.frame(tree = as.integer(plate), species = as.integer(sample), cut = 0, both = 0, estimator = 0, crane = 0, e = diameter))
pas <- with(Pastes, data.frame(tree = as.integer(factor(sample)), species = as.integer(batch), cut = 0, both = 0, estimator = 0, crane = 0, e = strength))
all <- c(books, list(penicillin = pen, pastes = pas))
for (name in names(all)) {
    d <- all[[name]]
    cat(sprintf("%s,%d,%d,%d,%d,%d,%d,%s\n", name, d$tree, d$species, as.integer(d$cut), as.integer(d$both), as.integer(d$estimator), as.integer(d$crane),
        format(d$e, digits = 10, trim = TRUE, scientific = FALSE)), sep = "", file = con)
}
close(con)

con <- file(file.path(out, "lme4_expected.csv"), "w")
cat("# COMPUTED with lme4 ", as.character(packageVersion("lme4")), " on R ", paste(R.version$major, R.version$minor, sep = "."),
    " by tests/oracle/lme4.R: REML, best of bobyqa and Nelder-Mead from two starts\n",
    "# what: criterion, mean, mean_se, var_FACTOR, or effect_FACTOR with its level\n", "book,what,level,value\n", sep = "", file = con)
number <- function(x) sprintf("%.12g", x)
fit_best <- function(formula, d) {
    best <- NULL
    for (optimizer in c("bobyqa", "Nelder_Mead")) for (first in c(1, .3)) {
        control <- lmerControl(optimizer = optimizer, calc.derivs = FALSE, check.conv.singular = "ignore",
            optCtrl = if (optimizer == "bobyqa") list(rhobeg = .2, rhoend = 1e-9, maxfun = 200000)
                      else list(FtolAbs = 1e-12, FtolRel = 1e-15, XtolRel = 1e-10, maxfun = 200000))
        terms <- length(attr(terms(nobars(formula)), "term.labels"))
        k <- length(findbars(formula))
        f <- suppressWarnings(suppressMessages(lmer(formula, d, REML = TRUE, control = control, start = rep(first, k))))
        if (is.null(best) || REMLcrit(f) < REMLcrit(best)) best <- f
    }
    best
}
for (name in names(all)) {
    d <- all[[name]]
    groups <- c("species", "cut", "both", "estimator", "crane", "tree")
    groups <- groups[sapply(groups, function(g) length(unique(d[[g]])) > 1)]
    f <- fit_best(as.formula(paste("e ~ 1 +", paste0("(1|", groups, ")", collapse = " + "))), d)
    row <- function(what, level, value) cat(name, ",", what, ",", level, ",", number(value), "\n", sep = "", file = con)
    row("criterion", 0, REMLcrit(f))
    row("mean", 0, fixef(f)[[1]])
    row("mean_se", 0, sqrt(vcov(f)[1, 1]))
    for (g in groups) row(paste0("var_", g), 0, attr(VarCorr(f)[[g]], "stddev")[[1]]^2)
    row("var_rest", 0, sigma(f)^2)
    modes <- ranef(f, condVar = FALSE)
    for (g in groups) for (level in sort(as.integer(rownames(modes[[g]])))) row(paste0("effect_", g), level, modes[[g]][as.character(level), 1])
}
close(con)
