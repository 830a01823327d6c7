from tests.stages.whatif.conftest import floor as floor
