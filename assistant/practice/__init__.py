"""The trainee's side: mowers with a hidden fault to practise on."""
