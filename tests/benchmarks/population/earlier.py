"""What an earlier baseline detector reached, for comparison with this one's table.

Area under ROC at severity 0.1 by the best of four single figures: orders 10 to 15, peak of what
repeats, peak of what does not, modulation; three tones of 0.5 s, or a sweep of 1 s from 30 to
1000 Hz, in steady noise, 30 units with each fault against 200 good ones. Figures were ranked as
seen, noise included: of one unit that does not say whether a figure is above its noise.
"""

from collections.abc import Mapping

from tests.benchmarks.population.specimen import Kind

# By dB SPL of noise; what is not there was not measured.
TONES: Mapping[Kind, Mapping[float, float]] = {
    "coil rub": {45.0: 1.00, 60.0: 1.00, 75.0: 0.56},
    "loose joint": {45.0: 1.00, 60.0: 1.00, 75.0: 1.00},
    "particle in the gap": {45.0: 1.00, 60.0: 0.91, 75.0: 0.50},
    "air leak": {45.0: 1.00, 60.0: 1.00, 75.0: 1.00},
    "lead slap": {45.0: 1.00, 60.0: 0.97, 75.0: 0.80},
}
SWEEP: Mapping[Kind, Mapping[float, float]] = {
    "coil rub": {45.0: 1.00, 60.0: 0.59},
    "loose joint": {45.0: 1.00, 60.0: 1.00},
    "particle in the gap": {45.0: 1.00, 60.0: 0.87},
}
