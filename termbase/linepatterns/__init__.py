"""linepatterns"""
