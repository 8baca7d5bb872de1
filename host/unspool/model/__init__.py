"""The run model: what a car should do, in closed form."""

from unspool.model.batch import BatchPrediction, predict_cars, predict_windings
from unspool.model.predict import predict, split_times
from unspool.model.report import prediction_json

__all__ = [
    "BatchPrediction",
    "predict",
    "predict_cars",
    "predict_windings",
    "prediction_json",
    "split_times",
]
