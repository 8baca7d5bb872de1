"""The run model: what a car should do, in closed form."""

from unspool.model.predict import predict, split_times
from unspool.model.report import prediction_json

__all__ = ["predict", "prediction_json", "split_times"]
