"""Room for boards: stands for those in hand and racks for those that rest, at a stage and in all of
its bay together. A bay's are counted at the first of its stages, the `room` of each."""

from stages.flow.compiled import compiled


@compiled
def has_place(stages, stage):
    bay = stages[stage.room]
    return (stage.places == 0 or stage.taken < stage.places) and (
        bay.bay_places == 0 or bay.bay_taken < bay.bay_places
    )


@compiled
def has_rack(stages, stage):
    bay = stages[stage.room]
    return (stage.racks == 0 or stage.resting < stage.racks) and (
        bay.bay_racks == 0 or bay.bay_resting < bay.bay_racks
    )


@compiled
def take_place(stages, stage, more):
    """`more` is 1, or -1 to give it back."""
    stage.taken += more
    stages[stage.room].bay_taken += more


@compiled
def take_rack(stages, stage, more):
    stage.resting += more
    stages[stage.room].bay_resting += more
