"""What this app tells those above it."""

from django.dispatch import Signal

# a unit got an owner, a car, another name, or left: unit
unit_changed = Signal()
# a unit was offered by letter: offer. Sent inside the transaction
unit_offered = Signal()
# a unit went from one owner to the next: unit, former, with_car. Sent inside the transaction; who
# keeps rows that tell of the former owner's person takes them out
unit_passed_on = Signal()
# a build was signed: build
build_signed = Signal()
# what the workshop says of a design's maintenance changed: design
instructions_changed = Signal()
# a car's use profile or instrument changed: car
car_changed = Signal()
# somebody told in passing what an odometer showed, with a fitting or a new car: car, date, shown,
# by, confirm. Sent inside the transaction; a listener may refuse or ask, and then nothing is done
odometer_read = Signal()
